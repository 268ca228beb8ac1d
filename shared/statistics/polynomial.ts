/**
 * Polynomial least squares. Fitted in Chebyshev polynomials over the scaled range, where neighbouring
 * powers do not resemble each other, and then turned back into powers of x.
 */
import { leastSquares } from './least-squares.ts';

export interface PolynomialFit {
  /** Of 1, x, x², ... */
  readonly coefficients: readonly number[];
  readonly errors: readonly number[];
  readonly residualSd: number;
  readonly rSquared: number;
  readonly residuals: Float64Array;
  /** Range of x that was fitted. Outside it the polynomial means nothing. */
  readonly range: readonly [number, number];
  /** NaN outside the range. */
  at(x: number): number;
  /** Slope; NaN outside the range. */
  slopeAt(x: number): number;
}

/** Null with too few distinct x for the degree. */
export function fitPolynomial(
  x: ArrayLike<number>,
  y: ArrayLike<number>,
  degree: number,
): PolynomialFit | null {
  const n = x.length;
  if (n < degree + 1 || y.length !== n) return null;
  let least = x[0];
  let most = x[0];
  for (let i = 1; i < n; i += 1) {
    if (x[i] < least) least = x[i];
    if (x[i] > most) most = x[i];
  }
  const middle = (least + most) / 2;
  const half = (most - least) / 2;
  if (degree > 0 && !(half > 0)) return null;
  const scale = half > 0 ? half : 1;
  const design = chebyshevColumns(
    Float64Array.from({ length: n }, (_, i) => (x[i] - middle) / scale),
    degree,
  );
  const fit = leastSquares(design, y);
  if (fit === null) return null;
  const toPowers = powersOfChebyshev(degree, middle, scale);
  const coefficients = times(toPowers, fit.coefficients);
  const errors = toPowers.map(
    (row) => fit.residualSd * Math.hypot(...times(transposed(fit.inverseR), row)),
  );
  const { value, slope } = clenshaw(fit.coefficients);
  const isInside = (at: number) => at >= least && at <= most;
  return {
    coefficients,
    errors,
    residualSd: fit.residualSd,
    rSquared: rSquaredOf(y, fit.residuals),
    residuals: fit.residuals,
    range: [least, most],
    at: (at) => (isInside(at) ? value((at - middle) / scale) : Number.NaN),
    slopeAt: (at) => (isInside(at) ? slope((at - middle) / scale) / scale : Number.NaN),
  };
}

function rSquaredOf(y: ArrayLike<number>, residuals: Float64Array): number {
  const n = y.length;
  let mean = 0;
  for (let i = 0; i < n; i += 1) mean += y[i] / n;
  let total = 0;
  let left = 0;
  for (let i = 0; i < n; i += 1) {
    total += (y[i] - mean) ** 2;
    left += residuals[i] ** 2;
  }
  return 1 - left / total;
}

/** T0 = 1, T1 = t, Tk = 2 t Tk-1 - Tk-2. */
function chebyshevColumns(t: Float64Array, degree: number): Float64Array[] {
  const columns: Float64Array[] = [new Float64Array(t.length).fill(1)];
  if (degree > 0) columns.push(t);
  for (let k = 2; k <= degree; k += 1) {
    const [a, b] = [columns[k - 1], columns[k - 2]];
    columns.push(t.map((value, i) => 2 * value * a[i] - b[i]));
  }
  return columns;
}

/** [power of x][k]: the coefficients of Tk((x - middle) / scale) in powers of x. */
function powersOfChebyshev(degree: number, middle: number, scale: number): number[][] {
  const shift = (poly: readonly number[], factor: number) =>
    Array.from(
      { length: degree + 1 },
      (_, power) =>
        factor * (((power > 0 ? poly[power - 1] : 0) - middle * (poly[power] ?? 0)) / scale),
    );
  const zero: number[] = new Array<number>(degree + 1).fill(0);
  const polys: number[][] = [zero.map((_, power) => (power === 0 ? 1 : 0))];
  if (degree > 0) polys.push(shift(polys[0], 1));
  for (let k = 2; k <= degree; k += 1) {
    polys.push(shift(polys[k - 1], 2).map((value, power) => value - polys[k - 2][power]));
  }
  return zero.map((_, power) => polys.map((poly) => poly[power]));
}

interface Series {
  readonly value: (t: number) => number;
  readonly slope: (t: number) => number;
}

/** Value and slope of a Chebyshev series on [-1, 1]. */
function clenshaw(c: readonly number[]): Series {
  const series = (coefficients: readonly number[], t: number) => {
    let b1 = 0;
    let b2 = 0;
    for (let k = coefficients.length - 1; k > 0; k -= 1) {
      [b1, b2] = [2 * t * b1 - b2 + coefficients[k], b1];
    }
    return t * b1 - b2 + (coefficients[0] ?? 0);
  };
  // d/dt of a series: dk-1 = dk+1 + 2 k ck, halved for the constant term.
  const d = new Array<number>(c.length + 1).fill(0);
  for (let k = c.length - 1; k > 0; k -= 1) d[k - 1] = d[k + 1] + 2 * k * c[k];
  const derivative = d.slice(0, Math.max(1, c.length - 1));
  derivative[0] /= 2;
  return { value: (t) => series(c, t), slope: (t) => series(derivative, t) };
}

function times(rows: readonly (readonly number[])[], vector: readonly number[]): number[] {
  return rows.map((row) => row.reduce((total, value, k) => total + value * vector[k], 0));
}

function transposed(rows: readonly (readonly number[])[]): number[][] {
  return (rows[0] ?? []).map((_, k) => rows.map((row) => row[k]));
}
