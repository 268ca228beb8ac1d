/** A straight line through points by least squares, with centred sums; and one through the origin. */
import { sum } from './moments.ts';

export interface LineFit {
  readonly n: number;
  readonly slope: number;
  readonly intercept: number;
  /** Standard errors; NaN below 3 points. */
  readonly slopeError: number;
  readonly interceptError: number;
  /** Residual standard deviation, n - 2 degrees of freedom; NaN below 3 points. */
  readonly residualSd: number;
  readonly rSquared: number;
  /** y - (intercept + slope x), in the order given. */
  readonly residuals: readonly number[];
  readonly meanX: number;
  /** Sum of squares of x about its mean. */
  readonly sxx: number;
}

/**
 * Null when x does not vary or there are fewer than 2 points. Formulas: slope = Sxy / Sxx,
 * SE(slope) = RSD / sqrt(Sxx), SE(intercept) = RSD sqrt(1/n + mean² / Sxx) (any text on regression;
 * checked against the NIST sets).
 */
export function fitLine(x: ArrayLike<number>, y: ArrayLike<number>): LineFit | null {
  const n = x.length;
  if (n < 2 || y.length !== n) return null;
  const meanX = sum(x) / n;
  const meanY = sum(y) / n;
  let sxx = 0;
  let sxy = 0;
  let syy = 0;
  for (let i = 0; i < n; i += 1) {
    const dx = x[i] - meanX;
    const dy = y[i] - meanY;
    sxx += dx * dx;
    sxy += dx * dy;
    syy += dy * dy;
  }
  if (!(sxx > 0)) return null;
  const slope = sxy / sxx;
  const intercept = meanY - slope * meanX;
  // From deviations, not from intercept + slope x: that would cancel digits of large x.
  const residuals = Array.from({ length: n }, (_, i) => y[i] - meanY - slope * (x[i] - meanX));
  const squares = residuals.reduce((total, r) => total + r * r, 0);
  const residualSd = n > 2 ? Math.sqrt(squares / (n - 2)) : Number.NaN;
  return {
    n,
    slope,
    intercept,
    slopeError: residualSd / Math.sqrt(sxx),
    interceptError: residualSd * Math.sqrt(1 / n + (meanX * meanX) / sxx),
    residualSd,
    rSquared: 1 - squares / syy,
    residuals,
    meanX,
    sxx,
  };
}

export interface OriginFit {
  readonly n: number;
  readonly slope: number;
  readonly slopeError: number;
  /** n - 1 degrees of freedom; NaN for one point. */
  readonly residualSd: number;
  /** Uncentred: 1 - SSE / sum of y². */
  readonly rSquared: number;
  readonly residuals: readonly number[];
}

/** slope = sum xy / sum x²; null without points or with all x 0. */
export function fitThroughOrigin(x: ArrayLike<number>, y: ArrayLike<number>): OriginFit | null {
  const n = x.length;
  if (n < 1 || y.length !== n) return null;
  let sxx = 0;
  let sxy = 0;
  let syy = 0;
  for (let i = 0; i < n; i += 1) {
    sxx += x[i] * x[i];
    sxy += x[i] * y[i];
    syy += y[i] * y[i];
  }
  if (!(sxx > 0)) return null;
  const slope = sxy / sxx;
  const residuals = Array.from({ length: n }, (_, i) => y[i] - slope * x[i]);
  const squares = residuals.reduce((total, r) => total + r * r, 0);
  const residualSd = n > 1 ? Math.sqrt(squares / (n - 1)) : Number.NaN;
  return {
    n,
    slope,
    slopeError: residualSd / Math.sqrt(sxx),
    residualSd,
    rSquared: 1 - squares / syy,
    residuals,
  };
}
