/** What lines say of themselves: the line of names, and `# key: value` notes. */
import type { ChannelFormat } from '../block/block.ts';
import { MAX_FIELDS } from './fields.ts';
import type { TimeField } from './index.ts';

/** A time and 16 channels of 14 characters; longer is junk without line ends. */
export const MAX_LINE_BYTES = 256;

/** Units of the time field; a counter has none. */
const TIME_UNITS = { time_s: 's', time_ms: 'ms', time_us: 'us', sample: '' } as const;

/** Endings of a channel's name that say its unit. */
const UNIT_ENDINGS: readonly (readonly [ending: string, unit: string])[] = [
  ['_Nm', 'Nm'],
  ['_deg', 'deg'],
  ['_deg_per_s', 'deg/s'],
  ['_degps', 'deg/s'],
  ['_counts', 'counts'],
  ['_mV', 'mV'],
  ['_uV', 'uV'],
  ['_V', 'V'],
  ['_N', 'N'],
];

/** The columns of every line; the first is the time field. */
export interface LineLayout {
  readonly time: TimeField;
  readonly channels: readonly ChannelFormat[];
}

export const TIME_FIELDS = Object.keys(TIME_UNITS);

export function isTimeField(name: string): name is TimeField {
  return Object.hasOwn(TIME_UNITS, name);
}

/** The first name is that of the time field, whatever it is called. */
export function layoutOf(time: TimeField, names: readonly string[]): LineLayout {
  const channels = names.map((name, c): ChannelFormat => ({
    name,
    unit: c === 0 ? TIME_UNITS[time] : unitOf(name),
    type: 'float64',
  }));
  return { time, channels };
}

function unitOf(name: string): string {
  return UNIT_ENDINGS.find(([ending]) => name.endsWith(ending))?.[1] ?? '';
}

/** The names in a line of names; null when it is none (names begin with a letter and differ). */
export function parseNames(text: string): readonly string[] | null {
  const separator = /[,;\t]/.exec(text)?.[0] ?? /\s+/;
  const names = text.split(separator).map((name) => name.trim());
  if (names.at(-1) === '') names.pop();
  const isNames = names.every((name) => /^[A-Za-z][\x20-\x7e]{0,63}$/.test(name));
  if (!isNames || names.length < 2 || names.length > MAX_FIELDS) return null;
  return new Set(names).size === names.length ? names : null;
}

/** Key and value of a `# key: value` line; null for another comment. */
export function parseNote(text: string): readonly [key: string, value: string] | null {
  const match = /^#\s*([A-Za-z][\x20-\x39\x3b-\x7e]{0,63}?)\s*:\s*([\x20-\x7e]*?)\s*$/.exec(text);
  return match === null ? null : [match[1], match[2]];
}
