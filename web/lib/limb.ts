/** How each joint is drawn: the pivot, the segment that stays and the arm that moves. Words and signs
 * stay the pattern's; this says only which way the drawing turns.
 */
import type { JointPattern } from '../../shared/joints/pattern.ts';

export interface LimbPose {
  /** Direction of the segment that stays, degrees counter-clockwise from the right. */
  readonly proximal_deg: number;
  /** Direction of the arm at angle 0. */
  readonly zero_deg: number;
  /** 1: rising angle turns the drawing counter-clockwise; -1: clockwise. */
  readonly sense: 1 | -1;
}

const POSES: Readonly<Record<string, LimbPose>> = {
  ankle: { proximal_deg: 90, zero_deg: 0, sense: 1 },
  knee: { proximal_deg: 180, zero_deg: 0, sense: -1 },
  hip: { proximal_deg: 180, zero_deg: 0, sense: 1 },
  shoulder: { proximal_deg: 90, zero_deg: -90, sense: 1 },
  elbow: { proximal_deg: 180, zero_deg: 0, sense: 1 },
  wrist: { proximal_deg: 180, zero_deg: 0, sense: 1 },
  forearm: { proximal_deg: -90, zero_deg: 90, sense: -1 },
  trunk: { proximal_deg: -90, zero_deg: 90, sense: -1 },
};
const USUAL: LimbPose = { proximal_deg: 180, zero_deg: 0, sense: 1 };

export function limbPose(pattern: JointPattern | undefined): LimbPose {
  return (pattern && POSES[pattern.joint]) ?? USUAL;
}

/** Unit vector of the arm at an angle, y downward as on a screen. */
export function armDirection(pose: LimbPose, angle_deg: number): { x: number; y: number } {
  const turn = ((pose.zero_deg + pose.sense * angle_deg) * Math.PI) / 180;
  return { x: Math.cos(turn), y: -Math.sin(turn) };
}
