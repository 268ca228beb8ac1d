/**
 * The library's filter: which sets fit, in which order, and how many there are of each value. Columns of
 * small numbers in memory, made again after a change: ten thousand sets are counted in a tenth of a
 * millisecond or two. The rows themselves stay in the database.
 */
import type { SetRow } from './set-row.ts';

/** What a page offers as boxes to tick. */
export const FACETS = ['subject', 'pattern', 'side', 'mode', 'station', 'status'] as const;
export type Facet = (typeof FACETS)[number];

export const SORTS = ['startedAt', 'subject', 'name', 'duration_s', 'peakTorque_Nm'] as const;
export type Sort = (typeof SORTS)[number];

export interface SetFilter {
  /** Values that fit; a facet that is left out takes all. */
  readonly facets: Partial<Readonly<Record<Facet, readonly string[]>>>;
  /** Sets with one of these flags. */
  readonly flags?: readonly string[] | undefined;
  /** ISO 8601, from <= start < to; a day alone is meant as a whole. */
  readonly from?: string | undefined;
  readonly to?: string | undefined;
  /** Words that all occur in name, subject, station, pattern or id. */
  readonly text?: string | undefined;
}

export interface SetSelection {
  /** All that fit, in order. */
  readonly ids: readonly string[];
  /** Of each facet, and of `flags`: how many fit everything but this facet's own choice. */
  readonly counts: Readonly<Record<Facet | 'flags', Readonly<Record<string, number>>>>;
}

type Indexed = Pick<
  SetRow,
  Facet | 'id' | 'name' | 'startedAt' | 'flags' | 'duration_s' | 'peakTorque_Nm'
>;

export interface SetIndex {
  put(row: Indexed): void;
  remove(id: string): void;
  select(filter: SetFilter, sort: Sort, isDescending: boolean): SetSelection;
}

interface Columns {
  readonly rows: readonly Indexed[];
  readonly facets: readonly { readonly values: readonly string[]; readonly codes: Uint32Array }[];
  readonly flagKinds: readonly string[];
  readonly flagBits: Float64Array;
  readonly texts: readonly string[];
  readonly orders: Map<string, Uint32Array>;
}

export function createSetIndex(): SetIndex {
  const rows = new Map<string, Indexed>();
  let columns: Columns | null = null;
  return {
    put(row) {
      rows.set(row.id, row);
      columns = null;
    },
    remove(id) {
      if (rows.delete(id)) columns = null;
    },
    select(filter, sort, isDescending) {
      columns ??= columnsOf([...rows.values()]);
      return selectFrom(columns, filter, orderOf(columns, sort, isDescending));
    },
  };
}

function columnsOf(rows: readonly Indexed[]): Columns {
  const flagKinds = [...new Set(rows.flatMap(({ flags }) => Object.keys(flags)))].sort();
  const bitOf = new Map(flagKinds.map((kind, k) => [kind, 2 ** k]));
  return {
    rows,
    facets: FACETS.map((facet) => coded(rows.map((row) => row[facet]))),
    flagKinds,
    flagBits: Float64Array.from(rows, ({ flags }) =>
      Object.keys(flags).reduce((bits, kind) => bits + (bitOf.get(kind) ?? 0), 0),
    ),
    texts: rows.map(({ id, name, subject, station, pattern }) =>
      [name, subject, station, pattern, id].join('\n').toLowerCase(),
    ),
    orders: new Map(),
  };
}

function coded(texts: readonly string[]) {
  const values = [...new Set(texts)].sort();
  const codeOf = new Map(values.map((value, code) => [value, code]));
  return { values, codes: Uint32Array.from(texts, (text) => codeOf.get(text) ?? 0) };
}

/** Ties go by the newest start, then by id, so that pages of a list never overlap. */
function orderOf({ rows, orders }: Columns, sort: Sort, isDescending: boolean): Uint32Array {
  const name = `${sort} ${String(isDescending)}`;
  const known = orders.get(name);
  if (known) return known;
  const way = isDescending ? -1 : 1;
  const order = Uint32Array.from(rows, (_, slot) => slot).sort((a, b) => {
    const [one, other] = [rows[a], rows[b]];
    if (!one || !other) return 0;
    const byKey = compare(one[sort], other[sort], way);
    return byKey || compare(one.startedAt, other.startedAt, -1) || compare(one.id, other.id, 1);
  });
  orders.set(name, order);
  return order;
}

/** What is not known comes last, whichever way it goes. */
function compare(a: string | number | null, b: string | number | null, way: 1 | -1): number {
  if (a === b) return 0;
  if (a === null) return 1;
  if (b === null) return -1;
  return a < b ? -way : way;
}

function selectFrom(columns: Columns, filter: SetFilter, order: Uint32Array): SetSelection {
  const { rows, facets, flagKinds, flagBits, texts } = columns;
  const allowed = facets.map(({ values }, f) =>
    allowedCodes(values, filter.facets[FACETS[f] ?? 'subject']),
  );
  const wantedBits = filter.flags && bitsOf(flagKinds, filter.flags);
  const words =
    filter.text
      ?.toLowerCase()
      .split(/\s+/)
      .filter((word) => word !== '') ?? [];
  const { from = '', to } = filter;
  const end = to === undefined ? null : to.length === 10 ? `${to}U` : to;
  const counts = facets.map(({ values }) => new Uint32Array(values.length));
  const flagCounts = new Uint32Array(flagKinds.length);
  const ids: string[] = [];

  for (const slot of order) {
    const row = rows[slot];
    if (!row || row.startedAt < from || (end !== null && row.startedAt >= end)) continue;
    if (words.length > 0 && !words.every((word) => texts[slot]?.includes(word))) continue;
    const bits = flagBits[slot] ?? 0;
    // How many facets it does not fit, and the last of them: their number stands for the flags.
    let misfits = 0;
    let misfit = -1;
    for (let f = 0; f < facets.length; f += 1) {
      const fits = allowed[f];
      if (fits && fits[facets[f]?.codes[slot] ?? 0] === 0) {
        misfits += 1;
        misfit = f;
      }
    }
    if (wantedBits !== undefined && !shareBit(bits, wantedBits)) {
      misfits += 1;
      misfit = facets.length;
    }
    if (misfits > 1) continue;
    if (misfits === 0) ids.push(row.id);
    for (let f = 0; f < facets.length; f += 1) {
      if (misfit !== -1 && misfit !== f) continue;
      const column = counts[f];
      const code = facets[f]?.codes[slot] ?? 0;
      if (column) column[code] = (column[code] ?? 0) + 1;
    }
    if (misfit === -1 || misfit === facets.length) addBits(flagCounts, bits);
  }
  const countsOf = (facet: Facet) => {
    const f = FACETS.indexOf(facet);
    return nonZero(facets[f]?.values ?? [], counts[f]);
  };
  return {
    ids,
    counts: {
      subject: countsOf('subject'),
      pattern: countsOf('pattern'),
      side: countsOf('side'),
      mode: countsOf('mode'),
      station: countsOf('station'),
      status: countsOf('status'),
      flags: nonZero(flagKinds, flagCounts),
    },
  };
}

/** Null where every value is taken. */
function allowedCodes(values: readonly string[], wanted: readonly string[] | undefined) {
  return wanted === undefined ? null : Uint8Array.from(values, (v) => (wanted.includes(v) ? 1 : 0));
}

function bitsOf(kinds: readonly string[], wanted: readonly string[]): number {
  return kinds.reduce((bits, kind, k) => bits + (wanted.includes(kind) ? 2 ** k : 0), 0);
}

/** There are 18 kinds of flags: their bits fit the 32 of a bitwise and. */
function shareBit(a: number, b: number): boolean {
  return (a & b) !== 0;
}

function addBits(counts: Uint32Array, bits: number): void {
  for (let k = 0, rest = bits; rest > 0; k += 1, rest >>>= 1) {
    if ((rest & 1) === 1) counts[k] = (counts[k] ?? 0) + 1;
  }
}

function nonZero(values: readonly string[], counts: Uint32Array | undefined) {
  return Object.fromEntries(
    values.map((value, k) => [value, counts?.[k] ?? 0] as const).filter(([, n]) => n > 0),
  );
}
