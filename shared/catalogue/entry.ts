/**
 * An entry: one change of one item, who made it and when, with both versions. Entries are appended
 * and never altered; the catalogue is what they add up to, and they are its audit trail.
 */
import * as v from 'valibot';
import { KIND_NAMES } from './kinds.ts';

const body = v.nullable(v.record(v.string(), v.unknown()));

export const entrySchema = v.strictObject({
  /** The data folder that made it, and its running number there, from 1; a refused one is left out. */
  origin: v.pipe(v.string(), v.regex(/^[0-9a-f]{12}$/)),
  number: v.pipe(v.number(), v.integer(), v.minValue(1)),
  /** One more than that of every entry its maker knew: order that no wall clock can turn (Lamport 1978). */
  clock: v.pipe(v.number(), v.integer(), v.minValue(1)),
  at: v.pipe(v.string(), v.isoTimestamp()),
  /** Code of the person, never a name. */
  who: v.string(),
  kind: v.picklist(KIND_NAMES),
  item: v.string(),
  /** The revision that was changed; 0 for a new item. */
  base: v.pipe(v.number(), v.integer(), v.minValue(0)),
  /** Null where the item was not there before, or is not there any more. */
  before: body,
  after: body,
  /** The entry that this one takes back, `origin-number`. */
  undoes: v.optional(v.string()),
});

export type Entry = v.InferOutput<typeof entrySchema>;

export function entryId({ origin, number }: Pick<Entry, 'origin' | 'number'>): string {
  return `${origin}-${number}`;
}

/** The order in which entries count, the same on every station: what was known comes before what knew it. */
export function inOrder(a: Entry, b: Entry): number {
  if (a.clock !== b.clock) return a.clock - b.clock;
  if (a.origin !== b.origin) return a.origin < b.origin ? -1 : 1;
  return a.number - b.number;
}
