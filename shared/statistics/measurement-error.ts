/**
 * How far a repeated measurement of the same subject scatters, in the unit of the measure. Unlike an
 * intraclass correlation it does not depend on how different the subjects are from each other.
 */
import type { MeanSquares } from './anova.ts';

export interface MeasurementError {
  /** Standard error of measurement, sqrt(residual mean square): trial bias left out. */
  readonly sem: number;
  /** Percent of the grand mean. */
  readonly sem_pct: number;
  /** Smallest change of one subject that exceeds measurement error, 95 %: 1.96 sqrt(2) SEM. */
  readonly mdc95: number;
  readonly mdc95_pct: number;
}

/** SEM = sqrt(EMS), needs no correlation (Weir 2005, J Strength Cond Res 19:231, formula from memory). */
export function measurementError({ ems, grandMean }: MeanSquares): MeasurementError {
  const sem = Math.sqrt(ems);
  const mdc95 = mdc95Of(sem);
  const percent = 100 / Math.abs(grandMean);
  return { sem, sem_pct: sem * percent, mdc95, mdc95_pct: mdc95 * percent };
}

/** The other way to it, when only a published SD and correlation are known: SD sqrt(1 - ICC). */
export function semFromIcc(sd: number, icc: number): number {
  return sd * Math.sqrt(1 - icc);
}

export function mdc95Of(sem: number): number {
  return 1.96 * Math.SQRT2 * sem;
}
