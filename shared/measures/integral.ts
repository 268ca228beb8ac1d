/** Integrals over a span by the trapezoidal rule, straight across missing samples. */
import type { Span } from '../segmentation/stretches.ts';

/** Integral of y over x; NaN for fewer than two samples that are there. */
export function integral(y: Float64Array, x: Float64Array, { first, end }: Span): number {
  if (end - first < 2) return Number.NaN;
  let twice = 0;
  for (let i = first + 1; i < end; i += 1) twice += (y[i] + y[i - 1]) * (x[i] - x[i - 1]);
  return twice === twice ? twice / 2 : acrossMissing(y, x, first, end);
}

function acrossMissing(y: Float64Array, x: Float64Array, first: number, end: number): number {
  let twice = 0;
  let before = -1;
  let n = 0;
  for (let i = first; i < end; i += 1) {
    if (!Number.isFinite(x[i] + y[i])) continue;
    if (before >= 0) twice += (y[i] + y[before]) * (x[i] - x[before]);
    before = i;
    n += 1;
  }
  return n < 2 ? Number.NaN : twice / 2;
}
