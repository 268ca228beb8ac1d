/** Central differences: second-order inside, one-sided at the ends, as numpy.gradient does. */
import { betweenGaps } from './between-gaps.ts';

/** Change a second of evenly spaced samples; NaN for a sample that stands alone. `out` may be `x`. */
export function gradient(
  x: Float64Array,
  rate_Hz: number,
  out: Float64Array = new Float64Array(x.length),
): Float64Array {
  betweenGaps(x, out, (from, to) => {
    const last = from.length - 1;
    if (last === 0) {
      to[0] = Number.NaN;
      return;
    }
    let before = from[0];
    let here = from[1];
    to[0] = (here - before) * rate_Hz;
    for (let i = 1; i < last; i += 1) {
      const after = from[i + 1];
      to[i] = ((after - before) * rate_Hz) / 2;
      before = here;
      here = after;
    }
    to[last] = (here - before) * rate_Hz;
  });
  return out;
}

/**
 * Change of `x` for a unit of `t` where stamps are uneven: the slope in each sample of the parabola
 * through it and its neighbours. NaN where a stamp repeats, is missing, or has no neighbour.
 */
export function gradientOver(x: Float64Array, t: Float64Array): Float64Array {
  const n = x.length;
  const slope = (i: number, k: number): number => (x[k] - x[i]) / (t[k] - t[i]);
  return Float64Array.from(x, (_, i) => {
    const hasBefore = i > 0 && Number.isFinite(x[i - 1] - t[i - 1]);
    const hasAfter = i < n - 1 && Number.isFinite(x[i + 1] - t[i + 1]);
    if (hasBefore && hasAfter) {
      const [before_s, after_s] = [t[i] - t[i - 1], t[i + 1] - t[i]];
      const weighted = after_s * slope(i - 1, i) + before_s * slope(i, i + 1);
      return finite(weighted / (before_s + after_s));
    }
    if (hasBefore) return finite(slope(i - 1, i));
    return hasAfter ? finite(slope(i, i + 1)) : Number.NaN;
  });
}

function finite(value: number): number {
  return Number.isFinite(value) ? value : Number.NaN;
}
