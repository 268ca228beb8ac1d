/**
 * How well a calibrated reading is known, by named contributions, combined and expanded with k = 2 (about
 * 95 %) as the Guide to the expression of uncertainty in measurement has it (JCGM 100, from memory).
 */
import type { CalibrationFit } from './fit.ts';

export interface UncertaintySources {
  /** Standard uncertainty of the references, as a share of the value: masses, arm, level. */
  readonly reference_share: number;
  /** One step of the converter in raw units; 0 when it is not known. */
  readonly step: number;
}

export interface ReadingUncertainty {
  readonly value: number;
  /** Standard uncertainties in the unit. */
  readonly contributions: {
    /** Of the line itself at this output. */
    readonly line: number;
    /** Of one reading about the line: linearity, hysteresis, repeatability. */
    readonly scatter: number;
    readonly reference: number;
    /** A step of the converter, evenly likely anywhere in it: step / sqrt(12). */
    readonly resolution: number;
  };
  readonly combined: number;
  /** k = 2. */
  readonly expanded: number;
}

/** NaN with a fit of 2 points: nothing is known of its scatter. */
export function readingUncertainty(
  fit: CalibrationFit,
  output: number,
  { reference_share, step }: UncertaintySources,
): ReadingUncertainty {
  const value = fit.slope * output + fit.offset;
  const away = output - fit.meanOutput;
  const contributions = {
    line: fit.residualSd * Math.sqrt(1 / fit.n + (away * away) / fit.outputSquares),
    scatter: fit.residualSd,
    reference: Math.abs(value) * reference_share,
    resolution: (Math.abs(fit.slope) * step) / Math.sqrt(12),
  };
  const combined = Math.hypot(...Object.values(contributions));
  return { value, contributions, combined, expanded: 2 * combined };
}
