/**
 * Samples with time stamps of their own, put on an even grid so that filters apply.
 * Stamps that only jitter keep their numbers bit for bit; uneven ones are interpolated; holes stay holes.
 * Stamps that do not fit the rate at all are refused: null, never a guess.
 */

export interface Grid {
  readonly rate_Hz: number;
  /** Time of the first grid point; the next is 1 / rate later. */
  readonly start_s: number;
  readonly n: number;
  /** False when the numbers were interpolated. */
  readonly isExact: boolean;
  /** A column of the table on the grid; NaN where there is no sample. */
  place(column: Float64Array): Float64Array;
  /** A column of the grid at the table's own stamps. */
  take(column: Float64Array): Float64Array;
}

/** Stamps within this share of a period of the grid are the grid's: half would make neighbours meet. */
const JITTER = 0.25;
/** Neighbours further apart than this many periods have a hole between them. */
const HOLE = 1.5;
/** The typical step may differ from the stated rate by this much: more is another rate, or another unit. */
const RATE_TOLERANCE = 0.2;
/** 24 h at 10 kHz: more grid points than this mean that the stamps or the rate are wrong. */
const MAX_POINTS = 864e6 / 8;

/** Stamps must not decrease. A repeated stamp keeps the first sample. */
export function gridOf(time_s: Float64Array, rate_Hz: number): Grid | null {
  const n = time_s.length;
  if (n < 2 || !fits(time_s, rate_Hz)) return null;
  const start_s = time_s[0];
  const points = Math.round((time_s[n - 1] - start_s) * rate_Hz) + 1;
  if (points > MAX_POINTS) return null;
  const at = time_s.map((t) => (t - start_s) * rate_Hz);
  const isExact = at.every((position) => Math.abs(position - Math.round(position)) <= JITTER);
  return {
    rate_Hz,
    start_s,
    n: points,
    isExact,
    place: (column) =>
      isExact ? placeExactly(at, column, points) : interpolate(at, column, points),
    take: (column) =>
      at.map((position) => valueAt(column, isExact ? Math.round(position) : position)),
  };
}

function fits(time_s: Float64Array, rate_Hz: number): boolean {
  const steps = time_s.subarray(1).map((t, i) => t - time_s[i]);
  if (steps.some((step) => !(step >= 0))) return false;
  const typical = steps.sort()[steps.length >> 1];
  return Math.abs(typical * rate_Hz - 1) <= RATE_TOLERANCE;
}

function placeExactly(at: Float64Array, column: Float64Array, points: number): Float64Array {
  const out = new Float64Array(points).fill(Number.NaN);
  for (let i = column.length - 1; i >= 0; i -= 1) out[Math.round(at[i])] = column[i];
  return out;
}

function interpolate(at: Float64Array, column: Float64Array, points: number): Float64Array {
  const out = new Float64Array(points).fill(Number.NaN);
  for (let i = 1; i < at.length; i += 1) {
    const width = at[i] - at[i - 1];
    if (width === 0 || width > HOLE) continue;
    for (let k = Math.ceil(at[i - 1]); k <= at[i] && k < points; k += 1) {
      const share = (k - at[i - 1]) / width;
      out[k] = column[i - 1] + share * (column[i] - column[i - 1]);
    }
  }
  return out;
}

function valueAt(column: Float64Array, position: number): number {
  const before = Math.floor(position);
  const share = position - before;
  return share === 0
    ? column[before]
    : column[before] + share * (column[before + 1] - column[before]);
}
