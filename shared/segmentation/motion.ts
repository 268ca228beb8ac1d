/** The angle of a signal made ready: spikes repaired, unwrapped, smoothed, and its velocity. */
import type { Signal } from '../analysis-types.ts';
import { gradient, gradientOver } from '../dsp/derivative.ts';
import type { Recipe } from '../recipe/recipe.ts';
import { lowpass } from './lowpass.ts';
import { copyWithoutSpikes } from './spikes.ts';
import { clockOf, type Span } from './stretches.ts';

export interface Motion {
  readonly rate_Hz: number;
  readonly time_s: Float64Array;
  readonly angle_deg: Float64Array;
  readonly velocity_degps: Float64Array;
  readonly stretches: readonly Span[];
  readonly unevenness: number;
}

/** Steps that stray from the nominal one by more than this make velocity use the true stamps. */
const EVEN = 1e-3;

/** Null where there is no angle. */
export function motionOf(signal: Signal, { conditioning }: Recipe): Motion | null {
  const { time_s, rate_Hz, angle_deg: read_deg } = signal;
  if (read_deg === null) return null;
  const { stretches, unevenness } = clockOf(signal, conditioning.hole_factor);
  const angle_deg = new Float64Array(read_deg.length);
  copyWithoutSpikes(read_deg, conditioning.spike_deg, conditioning, rate_Hz, angle_deg);
  unwrap(angle_deg);
  const { angleLowpass_Hz: cutOff_Hz, dualPass } = conditioning;
  const design = { rate_Hz, cutOff_Hz, dualPass, unevenness };
  lowpass(angle_deg, time_s, stretches, design, angle_deg);
  const velocity_degps = new Float64Array(angle_deg.length);
  for (const { first, end } of stretches) {
    const angle = angle_deg.subarray(first, end);
    const velocity = velocity_degps.subarray(first, end);
    if (unevenness <= EVEN) gradient(angle, rate_Hz, velocity);
    else velocity.set(gradientOver(angle, time_s.subarray(first, end)));
  }
  return { rate_Hz, time_s, angle_deg, velocity_degps, stretches, unevenness };
}

/** In place: a jump of more than half a turn between two samples is a turn, not a movement. */
export function unwrap(angle_deg: Float64Array): Float64Array {
  let turns = 0;
  let previous = angle_deg[0];
  for (let i = 0; i < angle_deg.length; i += 1) {
    const angle = angle_deg[i];
    const step = angle - previous;
    if (step > 180) turns -= 360;
    else if (step < -180) turns += 360;
    if (angle === angle) previous = angle;
    if (turns !== 0) angle_deg[i] = angle + turns;
  }
  return angle_deg;
}
