/**
 * Is a weighed limb plausible? Its weight moment against what body-segment tables expect for this body
 * mass, with room for people who are not the mean, and for the attachment, which nobody tabulates.
 */
import { type Limb, limbFromBody } from '../body-segments/limb.ts';
import type { JointPattern } from '../joints/pattern.ts';

export interface Expectation {
  /** Weight moment of the limb alone at horizontal, for the shortest and tallest usual height. */
  readonly limb_Nm: readonly [number, number];
  /** Plausible amplitude with attachment [least, most]. */
  readonly plausible_Nm: readonly [number, number];
}

export interface PlausibilityLimits {
  readonly weighingLow_factor: number;
  readonly weighingHigh_factor: number;
  readonly attachmentMost_Nm: number;
}

/** Heights of nearly all adults, for when the height is not known. */
const USUAL_HEIGHTS_M = [1.45, 2.05] as const;
/** Below this the expected weight is in the noise of a torque sensor: absence proves nothing. */
const VISIBLE_NM = 1;
/** Under this share of the least plausible weight it is not a light limb but none. */
const NOTHING_SHARE = 0.4;

export function expectedWeight(
  limb: JointPattern['limb'],
  bodyMass_kg: number,
  height_m: number | null,
  limits: PlausibilityLimits,
): Expectation {
  const heights: readonly number[] = height_m === null ? USUAL_HEIGHTS_M : [height_m];
  const moments = heights.map((height): Limb => limbFromBody(limb, bodyMass_kg, height));
  const least = Math.min(...moments.map((moment) => moment.weight_Nm));
  const most = Math.max(...moments.map((moment) => moment.weight_Nm));
  return {
    limb_Nm: [least, most],
    plausible_Nm: [
      least * limits.weighingLow_factor,
      most * limits.weighingHigh_factor + limits.attachmentMost_Nm,
    ],
  };
}

export type Verdict = 'plausible' | 'nothing' | 'small' | 'large';

/** Judges the size only: which way the weight pulls is a matter of signs (`signMismatch`). */
export function judgeWeight(amplitude_Nm: number, { plausible_Nm }: Expectation): Verdict {
  const size = Math.abs(amplitude_Nm);
  const [least, most] = plausible_Nm;
  if (size > most) return 'large';
  if (least < VISIBLE_NM || size >= least) return 'plausible';
  return size < NOTHING_SHARE * least ? 'nothing' : 'small';
}
