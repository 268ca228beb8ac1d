/**
 * What entries add up to, without a database: the same rule that fills it. An entry that changed another
 * version than the present one is a conflict and changes nothing.
 */
import { inOrder, type Entry } from './entry.ts';
import type { Kind } from './kinds.ts';

export interface FoldedItem {
  readonly kind: Kind;
  readonly id: string;
  readonly body: Readonly<Record<string, unknown>>;
}

/** Items that are there after all entries, by kind and id; an entry that comes twice is one. */
export function foldEntries(entries: readonly Entry[]): FoldedItem[] {
  const items = new Map<string, { readonly entry: Entry; readonly revision: number }>();
  const seen = new Set<string>();
  for (const entry of entries.toSorted(inOrder)) {
    const name = `${entry.origin}-${entry.number}`;
    if (seen.has(name)) continue;
    seen.add(name);
    const key = `${entry.kind} ${entry.item}`;
    const known = items.get(key);
    if (isNext(entry, known?.revision ?? 0, known?.entry.after ?? null)) {
      items.set(key, { entry, revision: entry.base + 1 });
    }
  }
  return [...items]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .flatMap(([, { entry }]) =>
      entry.after === null ? [] : [{ kind: entry.kind, id: entry.item, body: entry.after }],
    );
}

/** Whether an entry changes the version that is there: its revision and its content. */
export function isNext(
  { base, before }: Pick<Entry, 'base' | 'before'>,
  revision: number,
  present: object | null,
): boolean {
  return base === revision && JSON.stringify(before) === JSON.stringify(present);
}
