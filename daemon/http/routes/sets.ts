/** Routes of the library: sets by a filter with counts of each value, and what was decided about one. */
import * as v from 'valibot';
import { KIND_NAMES } from '../../../shared/catalogue/kinds.ts';
import { FLAG_KINDS } from '../../../shared/flags/flag.ts';
import { FACETS, SORTS, type SetFilter, type Sort } from '../../catalogue/set-index.ts';
import { Problem } from '../problem.ts';
import { jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';

/** Rows in one answer. */
const MOST_SETS = 500;

const text = v.string();
const count = v.pipe(v.number(), v.integer(), v.minValue(0));
const numberOrNull = v.nullable(v.number());

/** Values with commas between them; any of them fits. */
const choice = v.optional(v.pipe(text, v.maxLength(1000)));
const moment = v.optional(
  v.pipe(text, v.regex(/^\d{4}-\d{2}-\d{2}(T[\d:.]+Z)?$/, 'needs a day or a time in ISO 8601')),
);
const whole = (most: number) =>
  v.pipe(
    text,
    v.regex(/^\d{1,9}$/, 'needs a whole number'),
    v.transform(Number),
    v.maxValue(most, `at most ${most}`),
  );

/** Query members that say which sets are meant; exports take the same ones. */
export const FILTER_ENTRIES = {
  subject: choice,
  session: choice,
  pattern: choice,
  side: choice,
  mode: choice,
  station: choice,
  status: choice,
  flags: choice,
  from: moment,
  to: moment,
  text: v.optional(v.pipe(text, v.maxLength(200))),
} as const;

export const filterSchema = v.strictObject(FILTER_ENTRIES);

export function filterOf(query: v.InferOutput<typeof filterSchema>): SetFilter {
  const chosen = FACETS.flatMap((facet) => {
    const values = query[facet];
    return values === undefined ? [] : [[facet, values.split(',')] as const];
  });
  const { from, to, text: words } = query;
  return {
    facets: Object.fromEntries(chosen),
    ...{ flags: query.flags?.split(','), from, to, text: words },
  };
}

const counts = v.record(text, count);
const setSchema = v.strictObject({
  id: text,
  status: v.picklist(['recording', 'open', 'damaged', 'complete', 'recovered', 'repaired']),
  name: text,
  startedAt: text,
  ...{ subject: text, pattern: text, side: text, mode: text, station: text },
  samples: count,
  duration_s: v.number(),
  speed_degps: numberOrNull,
  session: text,
  ...{ phases: count, counting: count },
  peakTorque_Nm: numberOrNull,
  efforts: v.array(
    v.strictObject({
      ...{ direction: text, effort: text, action: text },
      ...{ speed_degps: numberOrNull, repetitions: count },
      ...{ bestPeakTorque_Nm: numberOrNull, totalWork_J: numberOrNull },
    }),
  ),
  flags: counts,
  edits: count,
  recipeHash: v.nullable(text),
  problem: text,
});

const SORT_NAMES = SORTS.flatMap((sort) => [sort, `-${sort}`] as const);

const list = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/sets',
  about:
    'Sets that fit, with how many there are of each value; values with commas between, flags of ' +
    `${FLAG_KINDS.join(', ')}. pending: recordings whose row is still being made.`,
  query: v.strictObject({
    ...FILTER_ENTRIES,
    sort: v.optional(v.picklist(SORT_NAMES), '-startedAt'),
    limit: v.optional(whole(MOST_SETS), '100'),
    offset: v.optional(whole(1e9), '0'),
  }),
  reply: v.strictObject({
    ...{ total: count, pending: count },
    sets: v.array(setSchema),
    facets: v.strictObject({
      ...{ subject: counts, session: counts, pattern: counts, side: counts, mode: counts },
      ...{ station: counts, status: counts, flags: counts },
    }),
  }),
  run: ({ archive: { sets } }, { query: { sort, limit, offset, ...filter } }) => {
    const name = SORTS.find((one): one is Sort => sort.endsWith(one)) ?? 'startedAt';
    const isDescending = sort.startsWith('-');
    const page = sets.query({ ...filterOf(filter), sort: name, isDescending, limit, offset });
    return {
      ...page,
      sets: page.sets.map((set) => ({
        ...set,
        efforts: [...set.efforts],
        flags: { ...set.flags },
      })),
      facets: page.facets,
    };
  },
});

const edits = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/recordings/{id}/edits',
  about: 'What people decided about a recording, with the revisions to change it from.',
  path: v.strictObject({ id: v.pipe(text, v.maxLength(96)) }),
  reply: v.strictObject({
    items: v.array(
      v.strictObject({
        kind: v.picklist(KIND_NAMES),
        id: text,
        revision: count,
        ...{ createdAt: text, changedAt: text },
        body: v.looseObject({}),
      }),
    ),
  }),
  problems: { 404: 'There is no such recording.' },
  run: ({ archive: { library, catalogue } }, { path }) => {
    if (library.entry(path.id) === null) throw new Problem(404, 'There is no such recording.');
    return { items: catalogue.ofRecording(path.id).map((item) => ({ ...item })) };
  },
});

export const SET_ROUTES: readonly Route[] = [list, edits];
