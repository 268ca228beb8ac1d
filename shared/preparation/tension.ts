/**
 * Muscle tension in a passive sweep: a stretch where the torque leaves the smooth curve of the limb. It
 * is told by where and how much, so that the tester can tell the subject; nothing is cut out.
 */
import { type Bins, smoothThrough } from './passive-bins.ts';

export interface Tension {
  /** In the order of the movement. */
  readonly from_deg: number;
  readonly to_deg: number;
  /** Largest distance from the curve, signed toward rising angle. */
  readonly residual_Nm: number;
  readonly limit_Nm: number;
}

/** A relaxed limb stays within this of its own curve (domain practice, chosen here). */
export const TENSION_LIMIT_NM = 1;
/** Fewer degrees than this are noise. */
const LEAST_BINS = 2;

/**
 * Against the sweep's own smooth curve, and against that of the accepted sweeps of the same way before it:
 * a pull that lasts for most of a sweep shows only there. Null when relaxed, or too short to tell.
 */
export function findTension(sweep: Bins, way: 1 | -1, before: readonly Bins[]): Tension | null {
  const earlier = {
    angle_deg: before.flatMap(({ angle_deg }) => angle_deg),
    torque_Nm: before.flatMap(({ torque_Nm }) => torque_Nm),
  };
  const [worst] = [sweep, earlier]
    .map(smoothThrough)
    .flatMap((curve) => (curve === null ? [] : stretchesBeyond(residualsOf(sweep, curve))))
    .filter(({ first, end }) => end - first >= LEAST_BINS)
    .sort((a, b) => b.size - a.size);
  if (worst === undefined) return null;
  const least = sweep.angle_deg[worst.first] ?? 0;
  const most = sweep.angle_deg[worst.end - 1] ?? 0;
  return {
    from_deg: way > 0 ? least : most,
    to_deg: way > 0 ? most : least,
    residual_Nm: worst.largest,
    limit_Nm: TENSION_LIMIT_NM,
  };
}

export function residualsOf(bins: Bins, curve: (angle_deg: number) => number): number[] {
  return bins.angle_deg.map((angle, i) => (bins.torque_Nm[i] ?? 0) - curve(angle));
}

interface Stretch {
  readonly first: number;
  end: number;
  size: number;
  largest: number;
}

/** Runs beyond the limit on one side, half-open; NaN is in none. */
function stretchesBeyond(residuals: readonly number[]): Stretch[] {
  const stretches: Stretch[] = [];
  residuals.forEach((residual, i) => {
    if (!(Math.abs(residual) > TENSION_LIMIT_NM)) return;
    const last = stretches.at(-1);
    if (last?.end === i && Math.sign(last.largest) === Math.sign(residual)) {
      last.end = i + 1;
      last.size += Math.abs(residual);
      if (Math.abs(residual) > Math.abs(last.largest)) last.largest = residual;
    } else {
      stretches.push({ first: i, end: i + 1, size: Math.abs(residual), largest: residual });
    }
  });
  return stretches;
}
