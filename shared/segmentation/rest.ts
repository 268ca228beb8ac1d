/**
 * How still rest is: the robust SD of velocity while nothing moves. It decides how slow a movement may
 * be and where it begins and ends.
 */
import type { Motion } from './motion.ts';

/** Rest is looked for in spans at least this long; a turn of a fast movement is shorter. */
const LEAST_REST_S = 0.2;
/** Enough speeds for a median; more only cost time. */
const MOST_SPEEDS = 20_000;
/** Median absolute deviation to standard deviation of a Gaussian (Hampel 1974). */
const SD_OF_MAD = 1.4826;

/** Robust SD in deg/s around 0 of velocity in spans slower than `slow_degps`; NaN when there are none. */
export function restNoise_degps({ velocity_degps, rate_Hz }: Motion, slow_degps: number): number {
  const least = Math.max(3, Math.round(LEAST_REST_S * rate_Hz));
  const n = velocity_degps.length;
  const spans: number[] = [];
  let total = 0;
  let first = 0;
  for (let i = 0; i <= n; i += 1) {
    if (i < n && Math.abs(velocity_degps[i]) < slow_degps) continue;
    if (i - first >= least) {
      spans.push(first, i);
      total += i - first;
    }
    first = i + 1;
  }
  if (total === 0) return Number.NaN;
  const stride = Math.max(1, Math.floor(total / MOST_SPEEDS));
  const speeds = new Float64Array(Math.floor(total / stride) + spans.length);
  let k = 0;
  for (let s = 0; s < spans.length; s += 2) {
    for (let i = spans[s]; i < spans[s + 1]; i += stride) {
      speeds[k] = Math.abs(velocity_degps[i]);
      k += 1;
    }
  }
  return SD_OF_MAD * speeds.subarray(0, k).sort()[k >> 1];
}

/** Fastest speed in deg/s that is not a hole; 0 for none. */
export function fastest_degps(velocity_degps: Float64Array): number {
  let fastest = 0;
  for (let i = 0; i < velocity_degps.length; i += 1) {
    const speed = Math.abs(velocity_degps[i]);
    if (speed > fastest) fastest = speed;
  }
  return fastest;
}
