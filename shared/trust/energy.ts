/**
 * The energy check: the work of all phases summed over angle and summed over time. Both are the same
 * energy; when they differ, torque, angle, velocity and clock do not belong together.
 */
import type { Phase, Signal } from '../analysis-types.ts';

export interface EnergyCheck {
  /** Sum of |integral of torque over angle|, and of |integral of torque times velocity over time|. */
  readonly byAngle_J: number;
  readonly byTime_J: number;
  /** By time against by angle. */
  readonly difference_pct: number;
  /** `measured`: the machine's own velocity; `computed`: slope of the angle, which checks the clock only. */
  readonly velocity: 'measured' | 'computed';
}

const RADIANS = Math.PI / 180;

/**
 * Null without an angle or a moving phase. Raw samples, trapezoids between neighbours that are there.
 * Work W = integral of T d(theta) = integral of T omega dt (mechanics; any textbook, from memory).
 */
export function energyCheck(
  signal: Signal,
  phases: readonly Pick<Phase, 'start_s' | 'end_s' | 'action'>[],
): EnergyCheck | null {
  const { angle_deg, velocity_degps } = signal;
  if (angle_deg === null) return null;
  let byAngle_J = 0;
  let byTime_J = 0;
  let at = 0;
  for (const { start_s, end_s, action } of phases) {
    if (action === 'isometric') continue;
    while (at < signal.time_s.length && signal.time_s[at] < start_s) at += 1;
    const end = firstAfter(signal.time_s, at, end_s);
    byAngle_J += Math.abs(overAngle(signal, angle_deg, at, end));
    byTime_J += Math.abs(overTime(signal, velocity_degps ?? slopeOf(signal, angle_deg), at, end));
    at = end;
  }
  if (byAngle_J === 0) return null;
  return {
    ...{ byAngle_J, byTime_J, difference_pct: 100 * (byTime_J / byAngle_J - 1) },
    velocity: velocity_degps === null ? 'computed' : 'measured',
  };
}

type Velocity = Float64Array | ((i: number) => number);

/** Central difference over the true time stamps, degrees a second. */
function slopeOf({ time_s }: Signal, angle_deg: Float64Array): Velocity {
  return (i) => (angle_deg[i + 1] - angle_deg[i - 1]) / (time_s[i + 1] - time_s[i - 1]);
}

function overAngle(
  { torque_Nm }: Signal,
  angle_deg: Float64Array,
  first: number,
  end: number,
): number {
  let work_J = 0;
  for (let i = first + 1; i < end; i += 1) {
    const step = angle_deg[i] - angle_deg[i - 1];
    const piece = ((torque_Nm[i] + torque_Nm[i - 1]) / 2) * step * RADIANS;
    if (Number.isFinite(piece)) work_J += piece;
  }
  return work_J;
}

function overTime(
  { torque_Nm, time_s }: Signal,
  velocity: Velocity,
  first: number,
  end: number,
): number {
  const power = (i: number) =>
    torque_Nm[i] * (typeof velocity === 'function' ? velocity(i) : velocity[i]) * RADIANS;
  let work_J = 0;
  for (let i = first + 1; i < end; i += 1) {
    const piece = ((power(i) + power(i - 1)) / 2) * (time_s[i] - time_s[i - 1]);
    if (Number.isFinite(piece)) work_J += piece;
  }
  return work_J;
}

function firstAfter(time_s: Float64Array, from: number, end_s: number): number {
  let i = from;
  while (i < time_s.length && time_s[i] <= end_s) i += 1;
  return i;
}
