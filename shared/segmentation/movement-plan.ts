/** Which movements a signal has and at which speeds, before any torque is looked at. */
import type { Conditions, Mode, Signal } from '../analysis-types.ts';
import { isWhole } from '../dsp/between-gaps.ts';
import type { Recipe } from '../recipe/recipe.ts';
import { withBoundaries } from './decisions.ts';
import { bandsFor, inferSpeeds } from './infer.ts';
import type { Motion } from './motion.ts';
import { type Bands, type Movement, movementsOf } from './movements.ts';

export interface MovementSearch {
  readonly signal: Signal;
  readonly motion: Motion;
  readonly mode: Exclude<Mode, 'isometric'>;
  readonly conditions: Conditions;
  readonly recipe: Recipe;
}

/** All movements with everything that is known of each. */
export interface Plan {
  readonly movements: readonly Movement[];
  readonly speeds: readonly (number | null)[];
  readonly bands: Bands;
  readonly noise_degps: number;
  /** Not one sample is missing: nobody needs to look for holes. */
  readonly isComplete: boolean;
}

/** Stated speeds win; without them two looks: the first tells the speeds, the second uses their dead-band. */
export function planOf({ signal, motion, mode, conditions, recipe }: MovementSearch): Plan {
  const stated = conditions.speed_degps;
  const isFree = mode === 'isotonic';
  const isSlow = mode === 'passive';
  let bands = bandsFor(motion, isSlow || isFree ? null : (stated ?? null), recipe);
  let movements = movementsOf(motion, bands, recipe);
  let speeds: (number | null)[] = movements.map(() => stated ?? null);
  if (isFree) speeds = movements.map(() => null);
  else if (stated === undefined && movements.length > 0) {
    let inferred = inferSpeeds(motion, movements, recipe);
    if (!isSlow) {
      bands = bandsFor(motion, Math.min(...inferred), recipe);
      movements = movementsOf(motion, bands, recipe);
      inferred = movements.length > 0 ? inferSpeeds(motion, movements, recipe) : [];
    }
    speeds = inferred;
  }
  movements = withBoundaries(movements, motion.time_s, conditions.boundaries);
  const isComplete =
    motion.stretches.length === 1 && isWhole(signal.torque_Nm) && isWhole(motion.angle_deg);
  return { movements, speeds, bands, noise_degps: bands.noise_degps, isComplete };
}
