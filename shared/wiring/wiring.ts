/**
 * The wiring file: which channel of the device is which quantity, in which unit, sign and scale.
 * Reading it gives one line for each thing that is wrong, and what would do. It repairs nothing.
 */
import * as v from 'valibot';
import type { DecoderHints } from '../decode/index.ts';
import { unitNamed, unitsOf } from '../units/units.ts';
import { columnName, isMechanical, RESERVED_NAMES } from './quantity.ts';
import { CHANNEL_FIELDS, WIRING_FIELDS, wiringSchema, type Wiring } from './schema.ts';

export type ParsedWiring = { readonly wiring: Wiring } | { readonly problems: readonly string[] };

/** A screenful; the first ones usually explain the rest. */
const MAX_PROBLEMS = 20;

/** Takes what JSON.parse gave. Keys that begin with `x_` are the site's own and are kept. */
export function parseWiring(input: unknown): ParsedWiring {
  if (typeof input !== 'object' || input === null || Array.isArray(input)) {
    return { problems: [`the file holds ${shown(input)}; it must hold one JSON object`] };
  }
  const strangers = strangersIn(input);
  const parsed = v.safeParse(wiringSchema, input);
  if (!parsed.success) {
    return { problems: [...parsed.issues.map(told), ...strangers].slice(0, MAX_PROBLEMS) };
  }
  const problems = [...strangers, ...contradictions(parsed.output)];
  return problems.length > 0 ? { problems } : { wiring: parsed.output };
}

/** What the wiring knows that a stream of lines may not say of itself. */
export function decoderHints(wiring: Wiring): DecoderHints {
  const { rate_Hz, time, fields } = wiring;
  return {
    ...(rate_Hz !== undefined && { rate_Hz }),
    ...(time !== undefined && { time }),
    ...(fields !== undefined && { names: fields }),
  };
}

function told(issue: v.BaseIssue<unknown>): string {
  const keys = issue.path?.map((step) => step.key) ?? [];
  const place = written(keys);
  if (issue.input !== undefined) return `${place} is ${shown(issue.input)}; give ${issue.message}`;
  const field = String(keys.at(-1));
  const schema = { ...CHANNEL_FIELDS, ...WIRING_FIELDS }[field];
  const does = schema === undefined ? issue.message : v.getDescription(schema);
  return `${place} is missing; give ${does ?? issue.message}`;
}

/** Keys nobody reads are usually misspelt ones, which would silently change a number. */
function strangersIn(file: object): string[] {
  const channels = 'channels' in file && Array.isArray(file.channels) ? file.channels : [];
  const places: [string, unknown, object][] = [
    ['', file, WIRING_FIELDS],
    ...channels.map((channel: unknown, k): [string, unknown, object] => [
      `channels[${k}].`,
      channel,
      CHANNEL_FIELDS,
    ]),
  ];
  return places.flatMap(([place, value, fields]) =>
    typeof value !== 'object' || value === null
      ? []
      : Object.keys(value)
          .filter((key) => !Object.hasOwn(fields, key) && !key.startsWith('x_'))
          .map((key) => `${place}${key} is not a field; ${instead(key, Object.keys(fields))}`),
  );
}

function instead(key: string, fields: readonly string[]): string {
  const plain = (text: string) => text.toLowerCase().replaceAll(/[^a-z]/g, '');
  const near = fields.find((field) => {
    const [a, b] = [plain(field), plain(key)];
    return a === b || (b.length > 2 && (a.startsWith(b) || b.startsWith(a)));
  });
  return near === undefined ? 'begin your own fields with x_' : `did you mean ${near}?`;
}

/** What each field allows by itself and only all of them together forbid. */
function contradictions(wiring: Wiring): string[] {
  const problems: string[] = [];
  const takenNames = new Map<string, number>();
  wiring.channels.forEach((channel, k) => {
    const { quantity, unit, slope, rawMin, rawMax, name } = channel;
    const say = (field: string, what: string) => problems.push(`channels[${k}].${field} ${what}`);
    if (slope === 0) say('slope', 'is 0; give units for one raw unit, and sign to turn it');
    if (rawMin !== undefined && rawMax !== undefined && rawMin >= rawMax) {
      say('rawMax', `is ${rawMax}; give a number above rawMin, ${rawMin}`);
    }
    if (isMechanical(quantity) && unitNamed(unit)?.dimension !== quantity) {
      say('unit', `is ${shown(unit)}; give one of ${unitsOf(quantity).join(', ')} for ${quantity}`);
    }
    const column = columnName(quantity, unit, name);
    const taken = takenNames.get(column);
    if (!isMechanical(quantity) && RESERVED_NAMES.includes(column)) {
      say('name', `is ${shown(column)}; that column is computed, give another name`);
    } else if (taken !== undefined) {
      say(
        isMechanical(quantity) ? 'quantity' : 'name',
        `makes a second column ${column}; channels[${taken}] is already that one`,
      );
    }
    takenNames.set(column, taken ?? k);
  });
  return problems;
}

function written(keys: readonly unknown[]): string {
  return keys
    .map((key, k) =>
      typeof key === 'number' ? `[${key}]` : k > 0 ? `.${String(key)}` : String(key),
    )
    .join('');
}

/** At most 40 characters of a value, as it stands in the file. */
function shown(value: unknown): string {
  const text = typeof value === 'number' ? String(value) : (JSON.stringify(value) ?? 'nothing');
  return text.length > 40 ? `${text.slice(0, 37)}...` : text;
}
