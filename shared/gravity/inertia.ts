/**
 * Torque that speeding up limb and attachment takes, as a stated option: muscle = read + I alpha (balance at
 * the shaft). It is 0 at constant velocity; where it is not, it is no better known than I is.
 */
import { RAD_PER_DEG } from './sinusoid.ts';

/** I alpha in Nm, in the direction in which the angle accelerates. */
export function inertialTorque_Nm(inertia_kgm2: number, acceleration_degps2: number): number {
  return inertia_kgm2 * acceleration_degps2 * RAD_PER_DEG;
}

/** out = torque + I alpha for a whole column; `out` may be `torque`. */
export function addInertia(
  inertia_kgm2: number,
  torque_Nm: ArrayLike<number>,
  acceleration_degps2: ArrayLike<number>,
  out: Float64Array,
): void {
  const factor = inertia_kgm2 * RAD_PER_DEG;
  for (let i = 0; i < out.length; i += 1) out[i] = torque_Nm[i] + factor * acceleration_degps2[i];
}
