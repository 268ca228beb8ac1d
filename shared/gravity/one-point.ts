/**
 * Weight from one static reading and a known horizontal angle. The weakest way of weighing: it takes the
 * limb's mass line for the lever's, and passive stretch for weight. Refused where it must go wrong.
 */
import type { Gravity } from './gravity.ts';
import { RAD_PER_DEG } from './sinusoid.ts';

/** Beyond this from horizontal the cosine is under a half: every error of the reading doubles. */
const FARTHEST_DEG = 60;

export interface OnePoint {
  readonly angle_deg: number;
  /** Mean reading of the relaxed limb (see `readHold`). */
  readonly torque_Nm: number;
  readonly horizontalAt_deg: number;
}

/** A = -reading / cos(angle - H); the sign of A tells which way the weight pulls. */
export function weighAtOnePoint({
  angle_deg,
  torque_Nm,
  horizontalAt_deg,
}: OnePoint): { readonly gravity: Gravity } | { readonly problem: string } {
  const fromHorizontal_deg = Math.abs(nearestHalfTurn(angle_deg - horizontalAt_deg));
  if (!(fromHorizontal_deg <= FARTHEST_DEG) || !Number.isFinite(torque_Nm)) {
    return {
      problem:
        `The limb is ${fromHorizontal_deg.toFixed(0)}° from horizontal: near vertical its weight hardly ` +
        `shows. Weigh it within ${String(FARTHEST_DEG)}° of horizontal, or sweep.`,
    };
  }
  return {
    gravity: {
      kind: 'sinusoid',
      amplitude_Nm: -torque_Nm / Math.cos((angle_deg - horizontalAt_deg) * RAD_PER_DEG),
      horizontalAt_deg,
      offset_Nm: 0,
    },
  };
}

/** Into [-90, 90]: a limb pointing the other way is horizontal too. */
function nearestHalfTurn(angle_deg: number): number {
  return angle_deg - 180 * Math.round(angle_deg / 180);
}
