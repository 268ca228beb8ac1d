/**
 * The sample rate that time stamps tell, robust against lost lines and jitter. Where stamps are
 * printed coarser than a sample (whole milliseconds at 900 Hz) their straight line tells it.
 */

/** Resolutions in which programs print time, as parts of the unit. */
const RESOLUTIONS = [1, 0.1, 0.01, 1e-3, 1e-4, 1e-5, 1e-6];
/** A resolution of more than this part of a step makes steps uneven by itself. */
const COARSE = 0.2;
/** Steps count when they are this near their median: a hole is a whole step more. */
const NEAR_MEDIAN = 0.05;
/** So many steps alike are the true ones, the longer ones are holes. */
const MOST = 0.6;
/** A rate this near a round one is meant to be it; resistors and crystals are not that far off. */
const ROUNDING = 0.005;

/** Samples a unit of time from the first n stamps in order; NaN when they do not tell. */
export function rateOfStamps(stamps: Float64Array, n: number): number {
  const steps = Float64Array.from({ length: n - 1 }, (_, i) => stamps[i + 1] - stamps[i]).sort();
  const middle = steps[steps.length >> 1];
  const mean = (stamps[n - 1] - stamps[0]) / (n - 1);
  const resolution = resolutionOf(stamps, n);
  const near = steps.filter((step) => Math.abs(step - middle) <= NEAR_MEDIAN * middle);
  if (resolution > COARSE * mean) {
    const isStraight = stamps
      .subarray(0, n)
      .every((stamp, i) => Math.abs(stamp - stamps[0] - i * mean) <= 1.01 * resolution);
    if (isStraight || near.length < MOST * steps.length) return mean > 0 ? 1 / mean : Number.NaN;
  }
  const sum = near.reduce((total, step) => total + step, 0);
  return sum > 0 ? near.length / sum : Number.NaN;
}

/** The round rate that is meant: two significant digits where that is near, else four. */
export function meantRate(rate_Hz: number): number {
  const round = Number(rate_Hz.toPrecision(2));
  return Math.abs(round / rate_Hz - 1) <= ROUNDING ? round : Number(rate_Hz.toPrecision(4));
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
