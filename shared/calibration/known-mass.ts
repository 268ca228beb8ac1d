/** The torque that a known mass puts on the lever: what a torque channel is calibrated against. */
import { STANDARD_GRAVITY } from '../body-segments/limb.ts';

export interface HungMass {
  readonly mass_kg: number;
  /** From the axis to the line of gravity of the hanger. */
  readonly arm_m: number;
  /** Of the lever from horizontal; 0 by a spirit level. 5° off makes 0.4 % less, 10° 1.5 %. */
  readonly lever_deg?: number;
  /** Local value where it is known, m/s². */
  readonly gravity_mps2?: number;
  /** Which way it turns the lever: 1 toward rising angle, -1 toward falling. */
  readonly turning?: 1 | -1;
}

/** m g L cos(beta), Nm, signed by `turning`. */
export function torqueOfMass({
  mass_kg,
  arm_m,
  lever_deg = 0,
  gravity_mps2 = STANDARD_GRAVITY,
  turning = 1,
}: HungMass): number {
  return turning * mass_kg * gravity_mps2 * arm_m * Math.cos((lever_deg * Math.PI) / 180);
}
