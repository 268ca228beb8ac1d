/**
 * Repetitions laid over each other: mean curve with its spread over the normalised range of motion, so
 * that repetitions of slightly different range can be compared point by point.
 */
import { momentsOf } from '../statistics/moments.ts';

export interface Curve {
  readonly angle_deg: ArrayLike<number>;
  readonly torque_Nm: ArrayLike<number>;
}

export interface Overlay {
  /** 0 at the start of the movement, 100 at its end. */
  readonly range_pct: Float64Array;
  readonly mean_Nm: Float64Array;
  /** Between the curves, n - 1; NaN for one curve. */
  readonly sd_Nm: Float64Array;
  readonly n: number;
}

/** Evenly spaced points, ends included: fine enough for a figure, coarse enough for a table. */
export const OVERLAY_POINTS = 101;

/** Null without a curve that moved. Each curve is read by its angle from its first to its last sample. */
export function overlay(curves: readonly Curve[], points = OVERLAY_POINTS): Overlay | null {
  const laid = curves
    .map((curve) => overRange(curve, points))
    .filter((curve): curve is Float64Array => curve !== null);
  if (laid.length === 0) return null;
  const range_pct = Float64Array.from({ length: points }, (_, k) => (100 * k) / (points - 1));
  const moments = Array.from(range_pct, (_, k) => momentsOf(laid.map((curve) => curve[k])));
  return {
    range_pct,
    mean_Nm: Float64Array.from(moments, ({ mean }) => mean),
    sd_Nm: Float64Array.from(moments, ({ sd }) => sd),
    n: laid.length,
  };
}

/** Torque at even shares of the travel, linear in the angle; the first passage of each counts. */
function overRange({ angle_deg, torque_Nm }: Curve, points: number): Float64Array | null {
  const last = angle_deg.length - 1;
  const travel = last < 1 ? 0 : angle_deg[last] - angle_deg[0];
  if (!(Math.abs(travel) > 0)) return null;
  const share = (i: number) => (angle_deg[i] - angle_deg[0]) / travel;
  const out = new Float64Array(points);
  let i = 0;
  for (let k = 0; k < points; k += 1) {
    const wanted = k / (points - 1);
    while (i < last - 1 && share(i + 1) < wanted) i += 1;
    const [a, b] = [share(i), share(i + 1)];
    const part = b > a ? Math.min(1, Math.max(0, (wanted - a) / (b - a))) : 0;
    out[k] = torque_Nm[i] + part * (torque_Nm[i + 1] - torque_Nm[i]);
  }
  return out;
}
