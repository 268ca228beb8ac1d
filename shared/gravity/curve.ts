/**
 * A passive curve where a sinusoid does not describe the reading: through static holds, or smoothed from a
 * slow sweep. It gives no value outside the angles it was measured at.
 */
import { leastSquares } from '../statistics/least-squares.ts';
import { momentsOf } from '../statistics/moments.ts';
import type { Gravity } from './gravity.ts';
import { weightAt } from './remove.ts';
import type { PassivePoint } from './sinusoid.ts';
import { readSweep, type Sweep, SWEEP_OPTIONS, type SweepOptions } from './sweep.ts';

/** Distance of the curve's points; passive torque bends over tens of degrees. */
const KNOT_DEG = 2.5;
/** Half width of the local parabola that gives a point. */
const REACH_DEG = 5;
/** A relaxed limb's reading scatters less than this (domain practice, chosen here). */
const RELAXED_SD_NM = 1;

export interface CurveFit {
  readonly gravity: Extract<Gravity, { kind: 'curve' }>;
  readonly range_deg: readonly [number, number];
  /** Of the sweep's averaged points about the curve. */
  readonly rmsResidual_Nm: number;
  /** Half the difference of the directions; null when swept one way only. */
  readonly friction_Nm: number | null;
}

/** Null when fewer than 3 points could be made of the sweep. */
export function fitCurve(
  angle_deg: ArrayLike<number>,
  torque_Nm: ArrayLike<number>,
  velocity_degps: ArrayLike<number>,
  options: SweepOptions = SWEEP_OPTIONS,
): CurveFit | null {
  return curveOfSweep(readSweep(angle_deg, torque_Nm, velocity_degps, options));
}

export function curveOfSweep({ points, range_deg, friction_Nm }: Sweep): CurveFit | null {
  const [least, most] = range_deg;
  const nSteps = Math.max(1, Math.round((most - least) / KNOT_DEG));
  const angles: number[] = [];
  const torques: number[] = [];
  for (let k = 0; k <= nSteps; k += 1) {
    const angle = least + ((most - least) * k) / nSteps;
    const torque_Nm = localValue(points, angle);
    if (torque_Nm === null) continue;
    angles.push(angle);
    torques.push(torque_Nm);
  }
  if (angles.length < 3) return null;
  const gravity = { kind: 'curve', angle_deg: angles, torque_Nm: torques } as const;
  const squares = points.map(
    (point) => (point.torque_Nm - weightAt(gravity, point.angle_deg)) ** 2,
  );
  const known = squares.filter(Number.isFinite);
  return { gravity, range_deg, friction_Nm, rmsResidual_Nm: Math.sqrt(momentsOf(known).mean) };
}

/** Value at an angle of the parabola fitted to the points around it; null with fewer than 3. */
function localValue(points: readonly PassivePoint[], angle_deg: number): number | null {
  const near = points.filter((point) => Math.abs(point.angle_deg - angle_deg) <= REACH_DEG);
  const x = near.map((point) => point.angle_deg - angle_deg);
  const fit = leastSquares(
    [x.map(() => 1), x, x.map((value) => value * value)],
    near.map((point) => point.torque_Nm),
  );
  return fit?.coefficients[0] ?? null;
}

export interface Hold {
  readonly angle_deg: number;
  readonly torque_Nm: number;
}

/** Mean of a static relaxed hold, or why it is no such thing. NaN samples are left out. */
export function readHold(
  angle_deg: ArrayLike<number>,
  torque_Nm: ArrayLike<number>,
): { readonly hold: Hold } | { readonly problem: string } {
  const angle = momentsOf(Array.from(angle_deg).filter(Number.isFinite));
  const torque = momentsOf(Array.from(torque_Nm).filter(Number.isFinite));
  if (angle.n < 2 || torque.n < 2) return { problem: 'The hold has too few samples.' };
  if (torque.sd > RELAXED_SD_NM) {
    return {
      problem:
        `The resting torque scatters by ${torque.sd.toFixed(2)} N·m (at most ` +
        `${RELAXED_SD_NM.toFixed(1)}): the limb is not relaxed, or something touched it. Repeat.`,
    };
  }
  return { hold: { angle_deg: angle.mean, torque_Nm: torque.mean } };
}

/** A curve through holds in any order; holds closer than 0.5° are averaged. Null below 2 angles. */
export function curveOfHolds(holds: readonly Hold[]): Extract<Gravity, { kind: 'curve' }> | null {
  const groups: Hold[][] = [];
  for (const hold of [...holds].sort((a, b) => a.angle_deg - b.angle_deg)) {
    const last = groups.at(-1);
    if (last !== undefined && hold.angle_deg - last[0].angle_deg < 0.5) last.push(hold);
    else groups.push([hold]);
  }
  if (groups.length < 2) return null;
  return {
    kind: 'curve',
    angle_deg: groups.map((group) => momentsOf(group.map((hold) => hold.angle_deg)).mean),
    torque_Nm: groups.map((group) => momentsOf(group.map((hold) => hold.torque_Nm)).mean),
  };
}
