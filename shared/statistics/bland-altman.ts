/**
 * Agreement of two measurements of the same subjects: mean difference and limits of agreement, each with
 * its confidence interval (Bland & Altman 1986, Lancet i:307).
 */
import { momentsOf } from './moments.ts';
import { tQuantile } from './quantiles.ts';

export interface Agreement {
  readonly n: number;
  /** Pairs with a missing value, left out. */
  readonly nLeftOut: number;
  /** Second minus first. */
  readonly bias: number;
  readonly biasInterval: readonly [number, number];
  readonly sdOfDifferences: number;
  readonly limits: readonly [number, number];
  readonly lowerLimitInterval: readonly [number, number];
  readonly upperLimitInterval: readonly [number, number];
  /** SD of differences / sqrt(2): the scatter of one measurement. */
  readonly typicalError: number;
  /** Percent of the mean of all values. */
  readonly typicalError_pct: number;
  /** Mean and difference of each pair, for the plot. */
  readonly points: readonly { readonly mean: number; readonly difference: number }[];
}

export interface AgreementOptions {
  /** Half width of the limits in standard deviations: 1.96, or the paper's own round 2. */
  readonly width: number;
  readonly confidence: number;
}

const DEFAULTS: AgreementOptions = { width: 1.96, confidence: 0.95 };

/** Null below 2 complete pairs. SE of a limit = sqrt(3 s² / n), as in the paper. */
export function blandAltman(
  pairs: readonly (readonly [number, number])[],
  { width, confidence }: AgreementOptions = DEFAULTS,
): Agreement | null {
  const complete = pairs.filter((pair) => pair.every(Number.isFinite));
  if (complete.length < 2) return null;
  const points = complete.map(([a, b]) => ({ mean: (a + b) / 2, difference: b - a }));
  const { n, mean: bias, sd } = momentsOf(points.map((point) => point.difference));
  const t = tQuantile((1 + confidence) / 2, n - 1);
  const around = (value: number, error: number) => [value - t * error, value + t * error] as const;
  const limits = [bias - width * sd, bias + width * sd] as const;
  const limitError = Math.sqrt((3 * sd * sd) / n);
  const typicalError = sd / Math.SQRT2;
  return {
    n,
    nLeftOut: pairs.length - n,
    bias,
    biasInterval: around(bias, sd / Math.sqrt(n)),
    sdOfDifferences: sd,
    limits,
    lowerLimitInterval: around(limits[0], limitError),
    upperLimitInterval: around(limits[1], limitError),
    typicalError,
    typicalError_pct: (100 * typicalError) / Math.abs(momentsOf(points.map((p) => p.mean)).mean),
    points,
  };
}
