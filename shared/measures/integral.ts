/** Integrals over a span by the trapezoidal rule, straight across missing samples. */
import type { Span } from '../segmentation/stretches.ts';

/** Integral of y over x; NaN for fewer than two samples that are there. */
export function integral(y: ArrayLike<number>, x: ArrayLike<number>, { first, end }: Span): number {
  let total = 0;
  let n = 0;
  let xBefore = 0;
  let yBefore = 0;
  for (let i = first; i < end; i += 1) {
    const xi = x[i];
    const yi = y[i];
    if (xi - xi !== 0 || yi - yi !== 0) continue;
    if (n > 0) total += ((yi + yBefore) / 2) * (xi - xBefore);
    n += 1;
    xBefore = xi;
    yBefore = yi;
  }
  return n < 2 ? Number.NaN : total;
}
