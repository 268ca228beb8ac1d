/**
 * The library's filter: which sets fit, in which order, and how many there are of each value. Small numbers
 * in memory, one a set, so that ten thousand are counted in a fraction of a millisecond; a change touches
 * one place of them. The rows themselves stay in the database.
 */
import { createCoder, type Coder } from './coder.ts';
import type { SetRow } from './set-row.ts';

/** What a page offers as boxes to tick. */
export const FACETS = [
  'subject',
  'session',
  'pattern',
  'side',
  'mode',
  'station',
  'status',
] as const;
export type Facet = (typeof FACETS)[number];

export const SORTS = ['startedAt', 'subject', 'name', 'duration_s', 'peakTorque_Nm'] as const;
export type Sort = (typeof SORTS)[number];

/** Values of a facet that are told, the most frequent ones: nobody ticks one box of a thousand. */
export const MOST_VALUES = 100;

export interface SetFilter {
  /** Values that fit; a facet that is left out takes all. */
  readonly facets: Partial<Readonly<Record<Facet, readonly string[]>>>;
  /** Sets with one of these flags. */
  readonly flags?: readonly string[] | undefined;
  /** ISO 8601, from <= start < to; a day alone is meant as a whole. */
  readonly from?: string | undefined;
  readonly to?: string | undefined;
  /** Words that each occur in the name, subject, station or pattern. */
  readonly text?: string | undefined;
}

export interface SetSelection {
  readonly total: number;
  /** Ids from `offset` on, at most `limit`. */
  readonly ids: readonly string[];
  /** Of each facet, and of `flags`: how many fit everything but this facet's own choice. */
  readonly counts: Readonly<Record<Facet | 'flags', Readonly<Record<string, number>>>>;
}

export interface Page {
  readonly sort: Sort;
  readonly isDescending: boolean;
  readonly limit: number;
  readonly offset: number;
}

type Indexed = Pick<
  SetRow,
  Facet | 'id' | 'name' | 'startedAt' | 'flags' | 'duration_s' | 'peakTorque_Nm'
>;

export interface SetIndex {
  put(row: Indexed): void;
  remove(id: string): void;
  select(filter: SetFilter, page: Page): SetSelection;
}

/** Several values of one set are one number: few combinations occur, and each is judged once. */
interface Columns {
  readonly rows: (Indexed | null)[];
  readonly facets: readonly Coder<string>[];
  /** Combinations of facet codes, of flags, and of texts that are searched. */
  readonly combos: Coder<readonly number[]>;
  readonly comboCodes: number[];
  readonly flagSets: Coder<readonly string[]>;
  readonly texts: Coder<string>;
  readonly comboOf: number[];
  readonly flagSetOf: number[];
  readonly textOf: number[];
  readonly startOf: number[];
}

const GONE = -1;
/** How a combination stands to a filter: it fits, misfits one facet (its number), or more. */
const FITS = -1;
const MISFITS = -2;

export function createSetIndex(): SetIndex {
  const columns = emptyColumns();
  const slotOf = new Map<string, number>();
  let orders = new Map<string, readonly number[]>();
  return {
    put(row) {
      const slot = slotOf.get(row.id) ?? columns.rows.length;
      slotOf.set(row.id, slot);
      write(columns, slot, row);
      orders = new Map();
    },
    remove(id) {
      const slot = slotOf.get(id);
      if (slot === undefined) return;
      slotOf.delete(id);
      columns.rows[slot] = null;
      columns.comboOf[slot] = GONE;
      orders = new Map();
    },
    select(filter, page) {
      const { matches, total, counts } = count(columns, filter);
      const name = `${page.sort} ${String(page.isDescending)}`;
      const order = orders.get(name) ?? orderOf(columns.rows, page);
      orders.set(name, order);
      return { total, ids: pageOf(columns.rows, order, matches, page), counts };
    },
  };
}

function emptyColumns(): Columns {
  return {
    rows: [],
    facets: FACETS.map(() => createCoder<string>(String)),
    combos: createCoder<readonly number[]>((codes) => codes.join()),
    flagSets: createCoder<readonly string[]>((kinds) => kinds.join()),
    texts: createCoder<string>(String),
    ...{ comboCodes: [], comboOf: [], flagSetOf: [], textOf: [], startOf: [] },
  };
}

function write(columns: Columns, slot: number, row: Indexed): void {
  const codes = FACETS.map((facet, f) => columns.facets[f]?.code(row[facet]) ?? 0);
  const searched = [row.name, row.subject, row.station, row.pattern].join('\n').toLowerCase();
  columns.rows[slot] = row;
  const nCombos = columns.combos.values.length;
  const combo = columns.combos.code(codes);
  if (combo === nCombos) columns.comboCodes.push(...codes);
  columns.comboOf[slot] = combo;
  columns.flagSetOf[slot] = columns.flagSets.code(Object.keys(row.flags).sort());
  columns.textOf[slot] = columns.texts.code(searched);
  columns.startOf[slot] = Date.parse(row.startedAt) || 0;
}

/** One pass over all sets; what is asked of values is asked once a value, not once a set. */
function count(columns: Columns, filter: SetFilter) {
  const { comboOf, flagSetOf, textOf, startOf } = columns;
  const standing = standingOf(columns, filter);
  const hasFlag = columns.flagSets.values.map((kinds) => hasOneOf(kinds, filter.flags));
  const hasText = textTester(columns.texts.values, filter.text);
  const [from, end] = [startFrom(filter.from), endBefore(filter.to)];
  const matches = new Uint8Array(comboOf.length);
  const nOfCombo = new Uint32Array(standing.length);
  const nOfFlagSet = new Uint32Array(hasFlag.length);
  let total = 0;
  for (let slot = 0; slot < comboOf.length; slot += 1) {
    const combo = comboOf[slot] ?? GONE;
    const start = startOf[slot] ?? 0;
    if (combo === GONE || start < from || start >= end) continue;
    if (hasText !== null && !hasText(textOf[slot] ?? 0)) continue;
    const flagSet = flagSetOf[slot] ?? 0;
    const fits = standing[combo] === FITS;
    if (fits) nOfFlagSet[flagSet] = (nOfFlagSet[flagSet] ?? 0) + 1;
    if (hasFlag[flagSet] !== true) continue;
    nOfCombo[combo] = (nOfCombo[combo] ?? 0) + 1;
    if (!fits) continue;
    matches[slot] = 1;
    total += 1;
  }
  return { matches, total, counts: countsOf(columns, { standing, nOfCombo, nOfFlagSet }) };
}

/** Of each combination; codes of all combinations stand one after another. */
function standingOf({ facets, combos, comboCodes }: Columns, filter: SetFilter): Int8Array {
  const standing = new Int8Array(combos.values.length).fill(FITS);
  FACETS.forEach((facet, f) => {
    const wanted = filter.facets[facet];
    if (wanted === undefined) return;
    const { values } = facets[f] ?? createCoder<string>(String);
    const isWanted = Uint8Array.from(values, (value) => (wanted.includes(value) ? 1 : 0));
    for (let combo = 0, at = f; combo < standing.length; combo += 1, at += FACETS.length) {
      if (isWanted[comboCodes[at] ?? 0] === 1) continue;
      standing[combo] = standing[combo] === FITS ? f : MISFITS;
    }
  });
  return standing;
}

function hasOneOf(kinds: readonly string[], wanted: readonly string[] | undefined): boolean {
  return wanted === undefined || wanted.some((kind) => kinds.includes(kind));
}

/** Null without words. Each text is searched once, however many sets share it. */
function textTester(texts: readonly string[], text = ''): ((code: number) => boolean) | null {
  const words = text
    .toLowerCase()
    .split(/\s+/)
    .filter((word) => word !== '');
  if (words.length === 0) return null;
  const found = texts.map((searched) => words.every((word) => searched.includes(word)));
  return (code) => found[code] === true;
}

function startFrom(from: string | undefined): number {
  return from === undefined ? -Infinity : Date.parse(from);
}

function endBefore(to: string | undefined): number {
  if (to === undefined) return Infinity;
  const isDay = to.length === 'YYYY-MM-DD'.length;
  return Date.parse(to) + (isDay ? 86_400_000 : 0);
}

interface Counted {
  readonly standing: Int8Array;
  readonly nOfCombo: Uint32Array;
  readonly nOfFlagSet: Uint32Array;
}

function countsOf(columns: Columns, counted: Counted): SetSelection['counts'] {
  const { facets, comboCodes, flagSets } = columns;
  const { standing, nOfCombo, nOfFlagSet } = counted;
  const counts = facets.map(({ values }, f) => {
    const n = new Uint32Array(values.length);
    for (let combo = 0, at = f; combo < standing.length; combo += 1, at += FACETS.length) {
      if (standing[combo] !== FITS && standing[combo] !== f) continue;
      const code = comboCodes[at] ?? 0;
      n[code] = (n[code] ?? 0) + (nOfCombo[combo] ?? 0);
    }
    return n;
  });
  const flags: Record<string, number> = {};
  flagSets.values.forEach((kinds, code) => {
    const n = nOfFlagSet[code] ?? 0;
    for (const kind of n > 0 ? kinds : []) flags[kind] = (flags[kind] ?? 0) + n;
  });
  const of = (facet: Facet) => {
    const f = FACETS.indexOf(facet);
    return mostFrequent(facets[f]?.values ?? [], counts[f] ?? new Uint32Array());
  };
  return {
    ...{ subject: of('subject'), session: of('session'), pattern: of('pattern') },
    ...{ side: of('side'), mode: of('mode'), station: of('station'), status: of('status') },
    flags,
  };
}

/** In the order of the values; of those as frequent as the last one, the first that came. */
function mostFrequent(values: readonly string[], counts: Uint32Array): Record<string, number> {
  const least =
    counts.length > MOST_VALUES ? (counts.toSorted()[counts.length - MOST_VALUES] ?? 0) : 1;
  const named: [string, number][] = [];
  let room = MOST_VALUES - counts.reduce((n, count_) => (count_ > least ? n + 1 : n), 0);
  counts.forEach((n, code) => {
    if (n === 0 || n < least) return;
    if (n === least && counts.length > MOST_VALUES && (room -= 1) < 0) return;
    named.push([values[code] ?? '', n]);
  });
  return Object.fromEntries(named.sort(([a], [b]) => (a < b ? -1 : 1)));
}

/** Ties go by the newest start, then by id, so that pages of a list never overlap. */
function orderOf(rows: readonly (Indexed | null)[], { sort, isDescending }: Page): number[] {
  const way = isDescending ? -1 : 1;
  const present = rows.flatMap((row, slot) => (row === null ? [] : [{ row, slot }]));
  present.sort(
    ({ row: a }, { row: b }) =>
      compare(a[sort], b[sort], way) ||
      compare(a.startedAt, b.startedAt, -1) ||
      compare(a.id, b.id, 1),
  );
  return present.map(({ slot }) => slot);
}

/** What is not known comes last, whichever way it goes. */
function compare(a: string | number | null, b: string | number | null, way: 1 | -1): number {
  if (a === b) return 0;
  if (a === null) return 1;
  if (b === null) return -1;
  return a < b ? -way : way;
}

function pageOf(
  rows: readonly (Indexed | null)[],
  order: readonly number[],
  matches: Uint8Array,
  { limit, offset }: Page,
): string[] {
  const ids: string[] = [];
  let before = offset;
  for (const slot of order) {
    if (ids.length === limit) break;
    if (matches[slot] !== 1) continue;
    if (before > 0) before -= 1;
    else ids.push(rows[slot]?.id ?? '');
  }
  return ids;
}
