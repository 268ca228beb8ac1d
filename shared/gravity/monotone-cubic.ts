/**
 * A curve through points that never swings past them: piecewise cubic, monotone between points.
 * It has no value outside its points: extrapolating passive torque is refused, not guessed.
 */

export interface Curve {
  /** NaN outside the first and last angle, and for NaN. */
  at(x: number): number;
  /** Slope there; NaN outside. */
  slopeAt(x: number): number;
}

/**
 * Null when the points are good, else what is wrong with them in words.
 * At least two points, finite, x strictly rising.
 */
export function curveTrouble(x: readonly number[], y: readonly number[]): string | null {
  if (x.length !== y.length) return 'the curve has unequal numbers of angles and torques';
  if (x.length < 2) return 'the curve needs at least two points';
  for (let i = 0; i < x.length; i += 1) {
    if (!Number.isFinite(x[i]) || !Number.isFinite(y[i])) {
      return `point ${String(i + 1)} of the curve is not a number`;
    }
    if (i > 0 && (x[i] ?? 0) <= (x[i - 1] ?? 0)) {
      return `the curve's angles must rise; point ${String(i + 1)} does not`;
    }
  }
  return null;
}

/**
 * Slopes by Fritsch & Butland (SIAM J Sci Stat Comput 5:300, 1984): weighted harmonic mean of the
 * neighbouring secants, 0 at a turning point; ends by the three-point formula kept monotone.
 * Throws for points that `curveTrouble` objects to.
 */
export function monotoneCubic(x: readonly number[], y: readonly number[]): Curve {
  const trouble = curveTrouble(x, y);
  if (trouble !== null) throw new Error(trouble);
  const n = x.length;
  const xs = Float64Array.from(x);
  const ys = Float64Array.from(y);
  const slopes = pointSlopes(xs, ys);
  let last = 0;

  /** Remembers the interval: neighbours in time are neighbours in angle. NaN finds none. */
  function intervalOf(value: number): number {
    if (!(value >= xs[0] && value <= xs[n - 1])) return -1;
    while (last > 0 && value < xs[last]) last -= 1;
    while (last < n - 2 && value >= xs[last + 1]) last += 1;
    return last;
  }

  return {
    at(value) {
      const i = intervalOf(value);
      if (i < 0) return Number.NaN;
      const h = xs[i + 1] - xs[i];
      const t = (value - xs[i]) / h;
      const secant = (ys[i + 1] - ys[i]) / h;
      const c = 3 * secant - 2 * slopes[i] - slopes[i + 1];
      const d = slopes[i] + slopes[i + 1] - 2 * secant;
      return ys[i] + t * h * (slopes[i] + t * (c + t * d));
    },
    slopeAt(value) {
      const i = intervalOf(value);
      if (i < 0) return Number.NaN;
      const h = xs[i + 1] - xs[i];
      const t = (value - xs[i]) / h;
      const secant = (ys[i + 1] - ys[i]) / h;
      const c = 3 * secant - 2 * slopes[i] - slopes[i + 1];
      const d = slopes[i] + slopes[i + 1] - 2 * secant;
      return slopes[i] + t * (2 * c + t * 3 * d);
    },
  };
}

function pointSlopes(x: Float64Array, y: Float64Array): Float64Array {
  const n = x.length;
  const h = Float64Array.from({ length: n - 1 }, (_, i) => x[i + 1] - x[i]);
  const secant = Float64Array.from(h, (width, i) => (y[i + 1] - y[i]) / width);
  const slopes = new Float64Array(n);
  if (n === 2) return slopes.fill(secant[0]);
  for (let i = 1; i < n - 1; i += 1) {
    const before = secant[i - 1];
    const after = secant[i];
    if (before * after <= 0) continue;
    const w1 = 2 * h[i] + h[i - 1];
    const w2 = h[i] + 2 * h[i - 1];
    slopes[i] = (w1 + w2) / (w1 / before + w2 / after);
  }
  slopes[0] = endSlope(h[0], h[1], secant[0], secant[1]);
  slopes[n - 1] = endSlope(h[n - 2], h[n - 3], secant[n - 2], secant[n - 3]);
  return slopes;
}

function endSlope(hEnd: number, hNext: number, secantEnd: number, secantNext: number): number {
  const slope = ((2 * hEnd + hNext) * secantEnd - hEnd * secantNext) / (hEnd + hNext);
  if (Math.sign(slope) !== Math.sign(secantEnd)) return 0;
  if (Math.sign(secantEnd) !== Math.sign(secantNext) && Math.abs(slope) > 3 * Math.abs(secantEnd)) {
    return 3 * secantEnd;
  }
  return slope;
}
