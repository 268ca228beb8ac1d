/** Root mean square over a moving window. */

/**
 * One value for each place where the whole window fits: n - window + 1 of them, the first for samples
 * 0 to window - 1. A window with a missing sample gives NaN.
 */
export function movingRms(x: Float64Array, window: number): Float64Array {
  const out = new Float64Array(Math.max(x.length - window + 1, 0));
  let sum = 0;
  for (let i = 0; i < out.length; i += 1) {
    if (i % window === 0 || Number.isNaN(sum)) sum = sumOfSquares(x, i, window);
    else sum += x[i + window - 1] ** 2 - x[i - 1] ** 2;
    out[i] = Math.sqrt(Math.max(sum, 0) / window);
  }
  return out;
}

/** Summed anew once a window, so that rounding does not pile up. */
function sumOfSquares(x: Float64Array, first: number, window: number): number {
  let sum = 0;
  for (let i = first; i < first + window; i += 1) sum += x[i] ** 2;
  return sum;
}
