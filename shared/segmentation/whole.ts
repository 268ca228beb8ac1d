/** The curves that an analysis sees, over the whole signal: for looking at, beside its numbers. */
import type { Conditions, Signal } from '../analysis-types.ts';
import type { Recipe } from '../recipe/recipe.ts';
import { motionOf } from './motion.ts';
import { clockOf } from './stretches.ts';
import { pieceOf } from './torque.ts';

/** Of one length with the signal; NaN where a sample is missing. */
export interface ConditionedCurves {
  /** Signed, smoothed, weight out where the conditions say how. */
  readonly torque_Nm: Float64Array;
  readonly angle_deg: Float64Array | null;
  readonly velocity_degps: Float64Array | null;
}

export function conditionedCurves(
  signal: Signal,
  conditions: Conditions,
  recipe: Recipe,
): ConditionedCurves {
  const { conditioning } = recipe;
  const motion = motionOf(signal, recipe);
  const clock = clockOf(signal, conditioning.hole_factor);
  const source = { signal, motion, clock, conditions, recipe, signAt: null };
  const whole = { first: 0, end: signal.time_s.length };
  const { torque_Nm } = pieceOf(source, whole, conditioning.torqueLowpass_Hz);
  return {
    torque_Nm,
    angle_deg: motion?.angle_deg ?? null,
    velocity_degps: motion?.velocity_degps ?? null,
  };
}
