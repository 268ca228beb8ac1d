/**
 * A sinusoid with offset through passive readings: read = p cos(angle) + q sin(angle) + c, by linear least
 * squares (general sinusoid after Anderson, Nussbaum & Madigan 2010, J Biomech 43:1220).
 */
import { leastSquares } from '../statistics/least-squares.ts';

export const RAD_PER_DEG = Math.PI / 180;

/** Means over one or many samples: of the reading, and of its angle's cosine and sine. */
export interface PassivePoint {
  readonly angle_deg: number;
  readonly cos: number;
  readonly sin: number;
  readonly torque_Nm: number;
}

export interface SinusoidFit {
  /** With the sign for which `horizontalAt_deg` lies nearest the middle of the range. */
  readonly amplitude_Nm: number;
  readonly horizontalAt_deg: number;
  readonly offset_Nm: number;
  /** Of independent readings; NaN with 3 points. */
  readonly amplitudeError_Nm: number;
  readonly horizontalAtError_deg: number;
  readonly offsetError_Nm: number;
  readonly rmsResidual_Nm: number;
  /** In the order of the points. */
  readonly residuals_Nm: Float64Array;
  /**
   * How many Nm the amplitude is wrong for each Nm rms of a smooth wobble that the model lacks, at worst:
   * grows as the range shrinks.
   */
  readonly amplification: number;
}

export function pointAt(angle_deg: number, torque_Nm: number): PassivePoint {
  const angle = angle_deg * RAD_PER_DEG;
  return { angle_deg, cos: Math.cos(angle), sin: Math.sin(angle), torque_Nm };
}

/** Null with fewer than 3 points, or where they do not determine a sinusoid. */
export function fitSinusoid(points: readonly PassivePoint[]): SinusoidFit | null {
  const fit = leastSquares(
    [points.map((point) => point.cos), points.map((point) => point.sin), points.map(() => 1)],
    points.map((point) => point.torque_Nm),
  );
  if (fit === null) return null;
  const [p, q, c] = fit.coefficients;
  const size = Math.hypot(p, q);
  const { amplitude_Nm, horizontalAt_deg } = nearestMiddle(p, q, size, points);
  // Unit vectors along and across (p, q): how errors of p and q move amplitude and angle.
  const along = errorOf(fit.inverseR, [p / size, q / size, 0]);
  const across = errorOf(fit.inverseR, [-q / size, p / size, 0]);
  const squares = fit.residuals.reduce((total, r) => total + r * r, 0);
  return {
    amplitude_Nm,
    horizontalAt_deg,
    offset_Nm: c,
    amplitudeError_Nm: fit.residualSd * along,
    horizontalAtError_deg: (fit.residualSd * across) / size / RAD_PER_DEG,
    offsetError_Nm: fit.errors[2],
    rmsResidual_Nm: Math.sqrt(squares / points.length),
    residuals_Nm: fit.residuals,
    amplification: along * Math.sqrt(points.length),
  };
}

/** Standard error of a combination of coefficients, for a residual SD of 1: |Rᵀ⁻¹ a|. */
function errorOf(inverseR: readonly (readonly number[])[], a: readonly number[]): number {
  return Math.hypot(
    ...inverseR.map((_, k) => a.reduce((total, value, row) => total + value * inverseR[row][k], 0)),
  );
}

/**
 * read = c - A cos(angle - H): H = atan2(-q, -p) and every half turn from it, where A changes sign.
 * Among them the one nearest the middle of the range.
 */
function nearestMiddle(
  p: number,
  q: number,
  size: number,
  points: readonly PassivePoint[],
): { amplitude_Nm: number; horizontalAt_deg: number } {
  const angles = points.map((point) => point.angle_deg);
  const middle_deg = (Math.min(...angles) + Math.max(...angles)) / 2;
  const first_deg = Math.atan2(-q, -p) / RAD_PER_DEG;
  const halfTurns = Math.round((middle_deg - first_deg) / 180);
  return {
    amplitude_Nm: halfTurns % 2 === 0 ? size : -size,
    horizontalAt_deg: first_deg + 180 * halfTurns,
  };
}
