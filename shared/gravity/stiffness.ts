/**
 * Passive stiffness: how steeply the passive torque resists, at named angles, and the energy a stretch and
 * its release do not give back. Of torque with the weight removed, muscle silent.
 */
import { fitPolynomial } from '../statistics/polynomial.ts';
import { RAD_PER_DEG } from './sinusoid.ts';

export interface Stiffness {
  readonly angle_deg: number;
  /** Positive where tissue resists the movement; null outside the swept range. */
  readonly stiffness_Nmpdeg: number | null;
}

/**
 * Slope of a polynomial of torque over angle (degree 4, as Riemann et al. 2001, J Athl Train 36:369), of
 * one passive phase. All null when there are too few samples for the degree.
 */
export function stiffnessAt(
  angle_deg: ArrayLike<number>,
  torque_Nm: ArrayLike<number>,
  angles_deg: readonly number[],
  degree = 4,
): readonly Stiffness[] {
  const kept = Array.from({ length: angle_deg.length }, (_, i) => i).filter(
    (i) => Number.isFinite(angle_deg[i]) && Number.isFinite(torque_Nm[i]),
  );
  const fit = fitPolynomial(
    kept.map((i) => angle_deg[i]),
    kept.map((i) => torque_Nm[i]),
    degree,
  );
  return angles_deg.map((angle) => {
    const slope = fit?.slopeAt(angle) ?? Number.NaN;
    // The reading of a resisting tissue falls as the angle rises: its slope is turned.
    return { angle_deg: angle, stiffness_Nmpdeg: Number.isNaN(slope) ? null : -slope };
  });
}

export interface Hysteresis {
  /** Energy lost in the loop over the common range; never negative. */
  readonly energy_J: number;
  /** Common range [least, most]. */
  readonly range_deg: readonly [number, number];
}

/** One movement: samples of angle and torque in one direction. */
export interface Movement {
  readonly angle_deg: ArrayLike<number>;
  readonly torque_Nm: ArrayLike<number>;
}

/**
 * Area between two passive movements, over the angles both of them passed; null when there are none. Of
 * filtered columns: noise that torque and angle have in common would add to the area.
 */
export function hysteresis(one: Movement, other: Movement): Hysteresis | null {
  const a = rangeOf(one.angle_deg);
  const b = rangeOf(other.angle_deg);
  const range_deg = [Math.max(a[0], b[0]), Math.min(a[1], b[1])] as const;
  if (!(range_deg[1] > range_deg[0])) return null;
  const work_J = Math.abs(workWithin_J(one, range_deg) + workWithin_J(other, range_deg));
  return { energy_J: work_J, range_deg };
}

/** From its first to its last sample: a spike on the way is no range. */
function rangeOf(angle_deg: ArrayLike<number>): readonly [number, number] {
  const angles = Array.from(angle_deg).filter(Number.isFinite);
  const [first, last] = [angles.at(0) ?? Number.NaN, angles.at(-1) ?? Number.NaN];
  return [Math.min(first, last), Math.max(first, last)];
}

/** Trapezoids of torque over angle; angles outside the range are held at its ends, where they add 0. */
function workWithin_J(
  { angle_deg, torque_Nm }: Movement,
  range: readonly [number, number],
): number {
  const held = (angle: number) => Math.min(range[1], Math.max(range[0], angle));
  let work = 0;
  let previous = -1;
  for (let i = 0; i < angle_deg.length; i += 1) {
    if (Number.isNaN(angle_deg[i]) || Number.isNaN(torque_Nm[i])) continue;
    if (previous >= 0) {
      const step_deg = held(angle_deg[i]) - held(angle_deg[previous]);
      work += ((torque_Nm[i] + torque_Nm[previous]) / 2) * step_deg;
    }
    previous = i;
  }
  return work * RAD_PER_DEG;
}
