/**
 * What of the catalogue holds for the limb that is being tested now: its newest weighing and polarity
 * check of this session, and what there was before, of this side and of the other.
 */
import * as v from 'valibot';
import {
  polarity,
  weighing,
  weighingSummary,
  type PolarityRecord,
  type WeighingRecord,
  type WeighingSummary,
} from '../../shared/preparation/documents.ts';
import { canonicalJson } from '../../shared/recipe/recipe.ts';
import type { Setup } from '../../shared/wire/events.ts';
import type { Catalogue } from '../catalogue/catalogue.ts';
import type { Item } from '../catalogue/items.ts';

/** After this long nobody sits as before: it is another session. */
const SESSION_MS = 12 * 3_600_000;

export interface Kept<T> {
  readonly id: string;
  readonly revision: number;
  readonly body: T;
}

export interface InForce {
  readonly weighed: Kept<WeighingSummary> | null;
  readonly polarity: PolarityRecord | null;
  /** The newest weighing of this side that is not in force, and the newest of the other side. */
  readonly last: WeighingRecord | null;
  readonly other: WeighingRecord | null;
  /** The newest position of this limb. */
  readonly position: Item | null;
  readonly isPositionOfNow: boolean;
}

export function inForce(
  catalogue: Catalogue,
  { subject, pattern, side }: Setup,
  station: string,
  now: Date,
): InForce {
  const ofSubject = (kind: 'weighing' | 'polarity' | 'position') =>
    catalogue
      .list(kind)
      .filter(({ body }) => body['subject'] === subject && body['pattern'] === pattern);
  const position =
    ofSubject('position')
      .filter(({ body }) => body['side'] === side)
      .at(-1) ?? null;
  const isOfNow = ({ at, station: where }: { at: string; station: string }): boolean =>
    where === station && now.getTime() - Date.parse(at) < SESSION_MS;
  const weighings = ofSubject('weighing').flatMap((item) => checked(weighing, item));
  const mine = weighings.filter(({ body }) => body.side === side);
  const newest = mine.at(-1);
  const weighed =
    newest && isSamePlace(newest.body, position) && isOfNow(newest.body) ? newest : null;
  const check = ofSubject('polarity')
    .flatMap((item) => checked(polarity, item))
    .filter(({ body }) => body.side === side)
    .at(-1);
  return {
    weighed: weighed && { ...weighed, body: v.parse(weighingSummary, weighed.body) },
    polarity: check && isOfNow(check.body) ? check.body : null,
    last: mine.filter((one) => one !== weighed).at(-1)?.body ?? null,
    other: weighings.filter(({ body }) => body.side !== side).at(-1)?.body ?? null,
    position,
    isPositionOfNow:
      position !== null && now.getTime() - Date.parse(position.changedAt) < SESSION_MS,
  };
}

/** A limb that was put in another place since weighs another way. */
function isSamePlace({ at, position: then }: WeighingRecord, position: Item | null): boolean {
  if (!then) return at >= (position?.changedAt ?? '');
  return canonicalJson(then) === canonicalJson(position?.body['values'] ?? {});
}

/** An item that another version wrote in another form is passed over. */
function checked<S extends v.GenericSchema>(schema: S, item: Item): Kept<v.InferOutput<S>>[] {
  const parsed = v.safeParse(schema, item.body);
  if (!parsed.success) return [];
  return [{ id: item.id, revision: item.revision, body: parsed.output }];
}
