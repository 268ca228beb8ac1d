/**
 * Muscle tension in a passive pass: where its torque leaves the curve that all passes make together by
 * more than friction explains. Such a pass is repeated; it weighs a limb that was helping or holding.
 */
import { removeWeight } from './remove.ts';
import type { CurveFit } from './curve.ts';
import { readSweep, SWEEP_OPTIONS, type SweepOptions } from './sweep.ts';

/** Resting torque within this counts as relaxed (chosen here; resting scatter is held to the same). */
const RELAXED_NM = 1;

export interface Tension {
  /** Angles between which it is worst and above the limit, [least, most]. */
  readonly range_deg: readonly [number, number];
  /** Largest distance from what was expected, signed. */
  readonly deviation_Nm: number;
  readonly limit_Nm: number;
}

/** Samples of one pass, one direction. Null when it is relaxed throughout, or too short to say. */
export function findTension(
  angle_deg: ArrayLike<number>,
  torque_Nm: ArrayLike<number>,
  velocity_degps: ArrayLike<number>,
  { gravity, friction_Nm }: Pick<CurveFit, 'gravity' | 'friction_Nm'>,
  options: SweepOptions = SWEEP_OPTIONS,
): Tension | null {
  const { points } = readSweep(angle_deg, torque_Nm, velocity_degps, options);
  const angles = points.map((point) => point.angle_deg);
  const off_Nm = new Float64Array(points.length);
  removeWeight(
    gravity,
    points.map((point) => point.torque_Nm),
    angles,
    off_Nm,
  );
  const way = isRising(velocity_degps) ? 1 : -1;
  const deviations = [...off_Nm].map((off) => off - way * (friction_Nm ?? 0));
  const sizes = deviations.map((deviation) => (Number.isNaN(deviation) ? 0 : Math.abs(deviation)));
  const worst = sizes.indexOf(Math.max(0, ...sizes));
  if (worst < 0 || sizes[worst] <= RELAXED_NM) return null;
  let first = worst;
  let last = worst;
  while (first > 0 && sizes[first - 1] > RELAXED_NM) first -= 1;
  while (last < sizes.length - 1 && sizes[last + 1] > RELAXED_NM) last += 1;
  return {
    range_deg: [angles[first], angles[last]],
    deviation_Nm: deviations[worst],
    limit_Nm: RELAXED_NM,
  };
}

function isRising(velocity_degps: ArrayLike<number>): boolean {
  let total = 0;
  for (let i = 0; i < velocity_degps.length; i += 1) total += velocity_degps[i] || 0;
  return total > 0;
}
