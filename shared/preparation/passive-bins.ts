/**
 * A sweep as torque over angle in bins of one degree, and a smooth curve through such bins that a bump
 * does not draw to itself. What the pages draw and what muscle tension is looked for in.
 */
import { leastSquares } from '../statistics/least-squares.ts';
import type { Sweep } from './sweep-watch.ts';

/** At rising angles; arrays of one length. */
export interface Bins {
  readonly angle_deg: readonly number[];
  readonly torque_Nm: readonly number[];
}

const BIN_DEG = 1;
const LEAST_POINTS = 2;

/** Points slower than half the sweep's usual speed are starting and braking: left out. */
export function binsOf({ angle_deg, torque_Nm, velocity_degps }: Sweep): Bins {
  const speeds = Float64Array.from(velocity_degps, Math.abs).sort();
  const slowest = (speeds[speeds.length >> 1] ?? 0) / 2;
  const bins = new Map<number, { n: number; angle: number; torque: number }>();
  angle_deg.forEach((angle, i) => {
    if (Math.abs(velocity_degps[i] ?? 0) < slowest) return;
    const key = Math.floor(angle / BIN_DEG);
    const bin = bins.get(key) ?? { n: 0, angle: 0, torque: 0 };
    bins.set(key, bin);
    bin.n += 1;
    bin.angle += angle;
    bin.torque += torque_Nm[i] ?? 0;
  });
  const kept = [...bins.entries()]
    .filter(([, { n }]) => n >= LEAST_POINTS)
    .sort(([a], [b]) => a - b);
  return {
    angle_deg: kept.map(([, { n, angle }]) => angle / n),
    torque_Nm: kept.map(([, { n, torque }]) => torque / n),
  };
}

/** Degree of the polynomial through a passive curve (as Riemann et al. 2001, J Athl Train 36:369). */
const DEGREE = 4;
const FIRST_ROUNDS = 8;
const ROUNDS = 24;
/** Tukey's constant: 95 % as efficient as least squares on clean data (Beaton & Tukey 1974). */
const TUKEY = 4.685;
/** Median of absolute deviations to a standard deviation, for normal noise. */
const MAD_TO_SD = 1.4826;
/** Scatter below this is not told from none, N·m. */
const LEAST_SCATTER_NM = 0.05;

/**
 * Torque of a smooth curve through most of the points, NaN outside them; null with fewer than 8 points.
 * By weights: first those of least absolute deviations, then Tukey's biweight, which forgets a bump.
 */
export function smoothThrough({ angle_deg, torque_Nm }: Bins): ((angle: number) => number) | null {
  if (angle_deg.length < 2 * (DEGREE - 1) + 2) return null;
  const least = Math.min(...angle_deg);
  const most = Math.max(...angle_deg);
  const place = (angle: number) => (2 * (angle - least)) / (most - least) - 1;
  const powers = angle_deg.map((angle) =>
    Array.from({ length: DEGREE + 1 }, (_, power) => place(angle) ** power),
  );
  let weights = angle_deg.map(() => 1);
  let coefficients: readonly number[] = [];
  for (let round = 0; round < ROUNDS; round += 1) {
    const roots = weights.map(Math.sqrt);
    const fit = leastSquares(
      Array.from({ length: DEGREE + 1 }, (_, p) =>
        powers.map((row, i) => (row[p] ?? 0) * (roots[i] ?? 0)),
      ),
      torque_Nm.map((torque, i) => torque * (roots[i] ?? 0)),
    );
    if (fit === null) return null;
    ({ coefficients } = fit);
    const sizes = powers.map((row, i) => Math.abs((torque_Nm[i] ?? 0) - dot(row, coefficients)));
    weights = round < FIRST_ROUNDS ? sizes.map(absolute) : biweights(sizes);
  }
  const found = coefficients;
  return (angle) => {
    if (!(angle >= least && angle <= most)) return Number.NaN;
    return dot(
      found.map((_, power) => place(angle) ** power),
      found,
    );
  };
}

function absolute(size: number): number {
  return 1 / Math.max(size, LEAST_SCATTER_NM);
}

function biweights(sizes: readonly number[]): number[] {
  const median = Float64Array.from(sizes).sort()[sizes.length >> 1] ?? 0;
  const reach = TUKEY * Math.max(MAD_TO_SD * median, LEAST_SCATTER_NM);
  return sizes.map((size) => (size < reach ? (1 - (size / reach) ** 2) ** 2 : 0));
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((total, value, k) => total + value * (b[k] ?? 0), 0);
}
