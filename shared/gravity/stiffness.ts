/**
 * Passive stiffness: how steeply the passive torque resists, at named angles, and the energy a stretch and
 * its release do not give back. Of torque with the weight removed, muscle silent.
 */
import { fitPolynomial } from '../statistics/polynomial.ts';
import { monotoneCubic } from './monotone-cubic.ts';
import { RAD_PER_DEG } from './sinusoid.ts';
import { readSweep } from './sweep.ts';

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

/** Area between two passive movements, over the angles both of them passed; null when there are none. */
export function hysteresis(one: Movement, other: Movement): Hysteresis | null {
  const a = curveOf(one);
  const b = curveOf(other);
  if (a === null || b === null) return null;
  const least = Math.max(a.range_deg[0], b.range_deg[0]);
  const most = Math.min(a.range_deg[1], b.range_deg[1]);
  if (!(most > least)) return null;
  const nSteps = Math.max(1, Math.ceil((most - least) / STEP_DEG));
  const step_deg = (most - least) / nSteps;
  let area = 0;
  for (let k = 0; k < nSteps; k += 1) {
    // Midpoints stay inside both curves whatever the rounding of the ends.
    const angle = least + (k + 0.5) * step_deg;
    area += (a.at(angle) - b.at(angle)) * step_deg;
  }
  return { energy_J: Math.abs(area) * RAD_PER_DEG, range_deg: [least, most] };
}

const STEP_DEG = 0.25;

function curveOf({ angle_deg, torque_Nm }: Movement): {
  at: (angle_deg: number) => number;
  range_deg: readonly [number, number];
} | null {
  // Every sample of a movement goes one way; a constant velocity lets the sweep's binning serve.
  const oneWay = new Float64Array(angle_deg.length).fill(1);
  const { points, range_deg } = readSweep(angle_deg, torque_Nm, oneWay);
  if (points.length < 2) return null;
  const curve = monotoneCubic(
    points.map((point) => point.angle_deg),
    points.map((point) => point.torque_Nm),
  );
  return { at: (angle) => curve.at(angle), range_deg };
}
