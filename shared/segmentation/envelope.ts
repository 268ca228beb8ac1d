/** Moving mean and lower envelope of a short column; both linear in its length. NaN stays NaN around it. */

/** Mean of the samples around each, fewer at the ends; a width below 3 changes nothing. */
export function movingMean(x: Float64Array, width: number): Float64Array {
  const half = width >> 1;
  if (half < 1) return x;
  const sums = new Float64Array(x.length + 1);
  for (let i = 0; i < x.length; i += 1) sums[i + 1] = sums[i] + x[i];
  return x.map((_, i) => {
    const reach = Math.min(half, i, x.length - 1 - i);
    return (sums[i + reach + 1] - sums[i - reach]) / (2 * reach + 1);
  });
}

/**
 * Opening: the moving minimum and then the moving maximum of it. What rises and falls again within
 * `width` samples is gone, everything else is as it was. Source: grey-scale opening, Serra 1982.
 */
export function opened(x: Float64Array, width: number): Float64Array {
  const low = extreme(x, width, -1);
  return extreme(low, width, 1);
}

/** Moving minimum (-1) or maximum (1) over `width` samples, centred, narrower at the ends. */
function extreme(x: Float64Array, width: number, sign: 1 | -1): Float64Array {
  const before = sign === -1 ? width >> 1 : (width - 1) >> 1;
  const after = width - 1 - before;
  const out = new Float64Array(x.length);
  /** Samples that can still be the extreme, best first. */
  const queue = new Int32Array(x.length);
  let head = 0;
  let tail = 0;
  for (let i = 0; i < x.length + after; i += 1) {
    if (i < x.length) {
      while (tail > head && sign * x[queue[tail - 1]] <= sign * x[i]) tail -= 1;
      queue[tail] = i;
      tail += 1;
    }
    const at = i - after;
    if (at < 0) continue;
    while (queue[head] < at - before) head += 1;
    out[at] = x[queue[head]];
  }
  return out;
}
