/** The library's filter against the plainest count there is, and what a page of a list promises. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  createSetIndex,
  FACETS,
  SORTS,
  type SetFilter,
} from '../../../daemon/catalogue/set-index.ts';

const PAGE = { sort: 'startedAt', isDescending: true, limit: 100, offset: 0 } as const;

const value = fc.constantFrom('', 'a', 'b', 'c');
const row = fc.record({
  id: fc.stringMatching(/^[a-z0-9]{6}$/),
  name: fc.constantFrom('Set 1', 'set 2', 'other'),
  startedAt: fc
    .integer({ min: 1, max: 28 })
    .map((d) => `2026-11-${String(d).padStart(2, '0')}T09:00:00.000Z`),
  ...{ subject: value, session: value, pattern: value, side: value, mode: value, station: value },
  status: fc.constantFrom('complete' as const, 'damaged' as const),
  flags: fc.constantFrom<Record<string, number>>({}, { spike: 2 }, { gap: 1, spike: 1 }),
  duration_s: fc.integer({ min: 0, max: 3 }),
  peakTorque_Nm: fc.option(fc.integer({ min: 0, max: 3 })),
});
const choice = fc.option(fc.subarray(['a', 'b', 'c']), { nil: undefined });
const filter = fc.record({
  facets: fc
    .record({ subject: choice, side: choice, mode: choice })
    .map((chosen) => Object.fromEntries(Object.entries(chosen).filter(([, v]) => v !== undefined))),
  flags: fc.option(fc.subarray(['spike', 'gap']), { nil: undefined }),
  from: fc.constantFrom(undefined, '2026-11-07', '2026-11-07T10:00:00.000Z'),
  to: fc.constantFrom(undefined, '2026-11-20'),
  text: fc.constantFrom(undefined, 'SET', 'set 1', 'zzz'),
});

type Row = typeof row extends fc.Arbitrary<infer T> ? T : never;

/** Whether a row fits everything, with one of the choices left out. */
function fits(one: Row, { facets, flags, from, to, text }: SetFilter, leftOut = ''): boolean {
  const words = (text ?? '').toLowerCase().split(' ');
  const where = [one.name, one.subject, one.station, one.pattern].join('\n').toLowerCase();
  return (
    FACETS.every((facet) => facet === leftOut || (facets[facet]?.includes(one[facet]) ?? true)) &&
    (leftOut === 'flags' || !flags || flags.some((kind) => kind in one.flags)) &&
    (from === undefined || one.startedAt >= from) &&
    (to === undefined || one.startedAt.slice(0, 10) <= to) &&
    words.every((word) => where.includes(word))
  );
}

test('counts of every facet leave out that facet`s own choice, and the list is what fits', () => {
  fc.assert(
    fc.property(
      fc.uniqueArray(row, { selector: ({ id }) => id, maxLength: 30 }),
      filter,
      (rows, by) => {
        const index = createSetIndex();
        for (const one of rows) index.put(one);
        const { ids, total, counts } = index.select(by, PAGE);
        expect([...ids].sort()).toEqual(
          rows
            .filter((one) => fits(one, by))
            .map(({ id }) => id)
            .sort(),
        );
        expect(total).toBe(ids.length);
        for (const facet of FACETS) {
          const expected: Record<string, number> = {};
          for (const one of rows) {
            if (fits(one, by, facet)) expected[one[facet]] = (expected[one[facet]] ?? 0) + 1;
          }
          expect(counts[facet]).toEqual(expected);
        }
        const spikes = rows.filter((one) => 'spike' in one.flags && fits(one, by, 'flags')).length;
        expect(counts.flags['spike'] ?? 0).toBe(spikes);
      },
    ),
    { numRuns: 300 },
  );
});

test('every sort gives all of them, unknown last, the same whichever way they came in', () => {
  fc.assert(
    fc.property(fc.uniqueArray(row, { selector: ({ id }) => id, maxLength: 20 }), (rows) => {
      const [index, turned] = [createSetIndex(), createSetIndex()];
      for (const one of rows) index.put(one);
      for (const one of rows.toReversed()) turned.put(one);
      for (const sort of SORTS) {
        for (const isDescending of [true, false]) {
          const page = { ...PAGE, sort, isDescending };
          const { ids } = index.select({ facets: {} }, page);
          expect(ids).toEqual(turned.select({ facets: {} }, page).ids);
          const keys = ids.map((id) => rows.find((one) => one.id === id)?.[sort]);
          const known = keys.filter((key) => key !== null && key !== undefined);
          expect(keys.slice(0, known.length)).toEqual(known);
          const sorted = [...known].sort((a, b) => (a < b ? -1 : a > b ? 1 : 0));
          expect(known).toEqual(isDescending ? sorted.reverse() : sorted);
        }
      }
    }),
    { numRuns: 100 },
  );
});

test('pages do not overlap and leave nothing out, also after changes and removals', () => {
  fc.assert(
    fc.property(fc.uniqueArray(row, { selector: ({ id }) => id, maxLength: 20 }), (rows) => {
      const index = createSetIndex();
      for (const one of rows) index.put({ ...one, subject: 'before' });
      for (const one of rows) index.put(one);
      const [gone, ...rest] = rows;
      if (gone) index.remove(gone.id);
      const all = index.select({ facets: {} }, PAGE);
      expect(all.total).toBe(rest.length);
      expect(all.counts.subject).not.toHaveProperty('before');
      const pages = [0, 7, 14].flatMap(
        (offset) => index.select({ facets: {} }, { ...PAGE, limit: 7, offset }).ids,
      );
      expect(pages).toEqual(all.ids);
    }),
    { numRuns: 100 },
  );
});
