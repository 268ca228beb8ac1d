/**
 * The sample rate that time stamps tell, robust against lost lines and jitter. Where stamps are
 * printed coarser than a sample (whole milliseconds at 900 Hz) their straight line tells it.
 */

/** Resolutions in which programs print time, as parts of the unit. */
const RESOLUTIONS = [1, 0.1, 0.01, 1e-3, 1e-4, 1e-5, 1e-6];
/** A resolution of more than this part of a step makes steps uneven by itself. */
const COARSE = 0.2;
/** Steps are single ones when they are this near their median: a hole is a whole step more. */
const NEAR_MEDIAN = 0.25;
/** Longer steps are counted as so many single ones up to here; beyond, the clock was set. */
const MAX_STEPS = 20;
/** So many steps alike are the true ones, the longer ones are holes. */
const MOST = 0.6;
/** No crystal is further off: a round rate within this, and what the stamps leave open, is meant. */
const CRYSTAL = 3e-4;

export interface StampRate {
  /** Samples a unit of time. */
  readonly perUnit: number;
  /** How far off that may be, as a part of it. */
  readonly uncertainty: number;
}

/** From the first n stamps in order; null when they do not tell. */
export function rateOfStamps(stamps: Float64Array, n: number): StampRate | null {
  const steps = Float64Array.from({ length: n - 1 }, (_, i) => stamps[i + 1] - stamps[i]).sort();
  const middle = steps[steps.length >> 1];
  const span = stamps[n - 1] - stamps[0];
  const mean = span / (n - 1);
  const resolution = resolutionOf(stamps, n);
  const near = steps.filter((step) => Math.abs(step - middle) <= NEAR_MEDIAN * middle);
  if (resolution > COARSE * mean) {
    const isStraight = stamps
      .subarray(0, n)
      .every((stamp, i) => Math.abs(stamp - stamps[0] - i * mean) <= 1.01 * resolution);
    if (isStraight || near.length < MOST * steps.length) {
      return span > 0 ? { perUnit: 1 / mean, uncertainty: resolution / span } : null;
    }
  }
  if (!(middle > 0)) return null;
  const spread = near[near.length - 1] - near[0];
  let nSteps = 0;
  let counted = 0;
  for (const step of steps) {
    const times = Math.round(step / middle);
    if (times < 1 || times > MAX_STEPS) continue;
    nSteps += times;
    counted += step;
  }
  return { perUnit: nSteps / counted, uncertainty: spread / counted };
}

/** The rate that is meant: two significant digits where the stamps allow it, else four. */
export function meantRate({ perUnit, uncertainty }: StampRate, unitsPerSecond: number): number {
  const rate_Hz = perUnit * unitsPerSecond;
  const round_Hz = Number(rate_Hz.toPrecision(2));
  const isMeant = Math.abs(round_Hz / rate_Hz - 1) <= CRYSTAL + uncertainty;
  return isMeant ? round_Hz : Number(rate_Hz.toPrecision(4));
}

/** The coarsest resolution of which all stamps are multiples. */
function resolutionOf(stamps: Float64Array, n: number): number {
  const isMultiple = (resolution: number): boolean =>
    stamps.subarray(0, n).every((stamp) => {
      const count = stamp / resolution;
      return Math.abs(count - Math.round(count)) < 1e-3;
    });
  return RESOLUTIONS.find(isMultiple) ?? 0;
}
