/** What the URLs of all wires have in common: the options for the format, and addresses. */
import { dialectById, DIALECTS, type DecoderHints } from '../../shared/decode/index.ts';
import { isTimeField, TIME_FIELDS } from '../../shared/decode/line-names.ts';
import { UsageError } from '../cli/command.ts';
import type { SourceUrl } from './index.ts';

const MAX_RATE_HZ = 100_000;
/** `rate`, `time` and `names` say of lines what they do not say of themselves. */
export const WIRE_OPTIONS: readonly string[] = ['format', 'rate', 'time', 'names'];

/** Throws a UsageError for an option that no wire and not this source knows, or an unusable value. */
export function checkWireOptions(url: SourceUrl, ownOptions: readonly string[]): void {
  const known = [...WIRE_OPTIONS, ...ownOptions];
  for (const name of Object.keys(url.options)) {
    if (known.includes(name)) continue;
    throw new UsageError(`--source ${shown(url.text)}: ${name} is none of ${known.join(', ')}`);
  }
  const { format, time, rate, names } = url.options;
  if (format !== undefined && dialectById(format) === undefined) {
    const ids = DIALECTS.map(({ id }) => id).join(' or ');
    throw new UsageError(`--source ${shown(url.text)}: format is ${shown(format)}; give ${ids}`);
  }
  if (time !== undefined && !isTimeField(time)) {
    const fields = TIME_FIELDS.join(', ');
    throw new UsageError(`--source ${shown(url.text)}: time is ${shown(time)}; give ${fields}`);
  }
  if (names !== undefined && time === undefined && !isTimeField(names.split(',')[0])) {
    const fields = TIME_FIELDS.join(', ');
    throw new UsageError(`--source ${shown(url.text)}: begin names with ${fields}, or add time=`);
  }
  if (rate !== undefined && !(Number(rate) > 0 && Number(rate) <= MAX_RATE_HZ)) {
    throw new UsageError(`--source ${shown(url.text)}: rate is ${shown(rate)}; give Hz, as 1000`);
  }
}

/** What a checked URL says of a stream of lines. */
export function hintsOf({ options }: SourceUrl): DecoderHints {
  const { rate, time, names } = options;
  return {
    ...(rate !== undefined && { rate_Hz: Number(rate) }),
    ...(time !== undefined && isTimeField(time) && { time }),
    ...(names !== undefined && { names: names.split(',') }),
  };
}

export interface Address {
  readonly host: string;
  readonly port: number;
  /** Begins with a slash, or is empty. */
  readonly path: string;
}

/** Of `host:port/path`; throws a UsageError when it is none. */
export function parseAddress({ text, target }: SourceUrl, form: string): Address {
  const [, host, digits, path = ''] =
    /^(\[[0-9a-f:.]+\]|[a-z0-9_][a-z0-9_.-]*):(\d{1,5})(\/\S*)?$/i.exec(target) ?? [];
  const port = Number(digits);
  if (host === undefined || !(port >= 1 && port <= 65_535)) {
    throw new UsageError(`--source ${shown(text)}: give host and port, as ${form}`);
  }
  return { host: host.replace(/^\[|\]$/g, ''), port, path };
}

/** As typed, with everything hidden that may be a password: whatever is not an option of ours. */
export function publicText({ text, options }: SourceUrl): string {
  const [place = ''] = text.split('?');
  const ours = [...WIRE_OPTIONS, 'baud'];
  const isPlain = (name: string): boolean => !text.startsWith('ws:') || ours.includes(name);
  const shownOptions = Object.entries(options).map(
    ([name, value]) => `${name}=${isPlain(name) ? value : '...'}`,
  );
  return [place, shownOptions.join('&')].filter((part) => part !== '').join('?');
}

/** Short enough for a line, in quotes. */
export function shown(text: string): string {
  return JSON.stringify(text.length > 80 ? `${text.slice(0, 77)}...` : text);
}

/** Throws a UsageError when no device is named or the baud rate is none. */
export function checkBaud({ text, target, options }: SourceUrl, form: string): void {
  if (target === '') throw new UsageError(`--source ${shown(text)}: name the device, as ${form}`);
  const { baud } = options;
  if (baud === undefined || (/^\d{2,7}$/.test(baud) && Number(baud) >= 50)) return;
  throw new UsageError(`--source ${shown(text)}: baud is ${shown(baud)}; give a number, as 921600`);
}
