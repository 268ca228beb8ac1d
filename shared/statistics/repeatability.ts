/** How close two measurements of one subject by one method lie: Bland & Altman 1986, Lancet i:307. */
import { momentsOf } from './moments.ts';

export interface Repeatability {
  readonly n: number;
  /** Within-subject standard deviation, from pairs whose true difference is 0: sqrt(mean d² / 2). */
  readonly withinSd: number;
  /** 95 % of repeated differences lie below it: 1.96 sqrt(2) s_w, or with the paper's round 2. */
  readonly coefficient: number;
  /** Of the second minus the first: far from 0 means that the method drifts, or subjects learn. */
  readonly meanDifference: number;
}

/** Null without a complete pair. */
export function repeatability(
  pairs: readonly (readonly [number, number])[],
  width = 1.96,
): Repeatability | null {
  const differences = pairs.map(([a, b]) => b - a).filter(Number.isFinite);
  if (differences.length === 0) return null;
  const meanSquare = momentsOf(differences.map((d) => d * d)).mean;
  const withinSd = Math.sqrt(meanSquare / 2);
  return {
    n: differences.length,
    withinSd,
    coefficient: width * Math.SQRT2 * withinSd,
    meanDifference: momentsOf(differences).mean,
  };
}
