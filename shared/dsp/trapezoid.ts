/** Integrals by the trapezoidal rule. */

/**
 * Integral of y over x from the first sample to each: 0 at the first. Missing samples are NaN there and
 * the line runs straight across them; whether a hole may be crossed is the caller's to judge.
 */
export function cumulativeTrapezoid(y: ArrayLike<number>, x: ArrayLike<number>): Float64Array {
  const out = new Float64Array(y.length).fill(Number.NaN);
  let total = 0;
  let before = -1;
  for (let i = 0; i < y.length; i += 1) {
    if (!Number.isFinite(y[i]) || !Number.isFinite(x[i])) continue;
    if (before >= 0) total += ((y[i] + y[before]) / 2) * (x[i] - x[before]);
    out[i] = total;
    before = i;
  }
  return out;
}
