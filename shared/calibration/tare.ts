/**
 * Zero, apart from the calibration: what the unloaded channel reads today. It moves from day to day and
 * within a session; slope and offset do not.
 */
import { momentsOf } from '../statistics/moments.ts';

export interface Tare {
  /** To be taken off every reading of the session, in the unit. */
  readonly zero: number;
  /** Scatter of the unloaded reading. */
  readonly sd: number;
  readonly samples: number;
}

/** Least time with the lever still and nothing on it. Common practice, no source. */
const FEWEST_SECONDS = 1;

/** Mean of calibrated, unloaded samples; refused when they scatter more than `mostSd` or are too few. */
export function readTare(
  values: ArrayLike<number>,
  rate_Hz: number,
  mostSd: number,
): { readonly tare: Tare } | { readonly problem: string } {
  const { n, mean, sd } = momentsOf(Array.from(values).filter(Number.isFinite));
  if (n < Math.max(2, FEWEST_SECONDS * rate_Hz)) {
    return { problem: `Zero needs ${String(FEWEST_SECONDS)} s of unloaded samples.` };
  }
  if (sd > mostSd) {
    return {
      problem: `The unloaded channel scatters by ${sd.toFixed(2)} (at most ${mostSd.toFixed(2)}): is it unloaded and still?`,
    };
  }
  return { tare: { zero: mean, sd, samples: n } };
}

/** How far zero moved between two tares, later minus earlier. */
export function zeroDrift(earlier: Tare, later: Tare): number {
  return later.zero - earlier.zero;
}
