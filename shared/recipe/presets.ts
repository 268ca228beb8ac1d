/**
 * The recipes to start from, one a mode, refined by joint pattern where a source says so.
 * What no source tells apart stays equal, and a test lists those with the reason.
 */
import type { Mode } from '../analysis-types.ts';
import type { Parameter } from './parameter.ts';
import { PARAMETERS } from './parameters.ts';
import {
  changedRecipe,
  type Groups,
  type Recipe,
  RECIPE_VERSION,
  type RecipeChanges,
} from './recipe.ts';

export interface Preset {
  readonly changes: RecipeChanges;
  readonly source: string;
}

/** Each parameter's own default. */
export const DEFAULT_RECIPE: Recipe = {
  version: RECIPE_VERSION,
  name: 'default',
  ...(Object.fromEntries(
    Object.entries(PARAMETERS).map(([group, parameters]) => [
      group,
      Object.fromEntries(
        Object.entries<Parameter>(parameters).map(([id, { preset }]) => [id, preset]),
      ),
    ]),
  ) as Groups),
};

/** The recipe for a mode and, where one is known, a pattern; an unknown pattern changes nothing. */
export function presetRecipe({ mode, pattern }: { mode: Mode; pattern?: string }): Recipe {
  const ofMode = changedRecipe(DEFAULT_RECIPE, mode, MODE_PRESETS[mode].changes);
  const refinement = pattern === undefined ? undefined : PATTERN_PRESETS[pattern];
  if (!refinement) return ofMode;
  return changedRecipe(ofMode, `${mode}, ${pattern ?? ''}`, refinement.changes);
}

export const MODE_PRESETS: Readonly<Record<Mode, Preset>> = {
  isokinetic: {
    changes: {},
    source: 'the defaults of the parameters are those of this mode',
  },
  isotonic: {
    changes: {},
    source: 'no source tells it apart from isokinetic: the same limb moves in the same way',
  },
  isometric: {
    changes: { conditioning: { torqueLowpass_Hz: 20 } },
    source: 'held efforts: 15-20 Hz is usual for steadiness (common practice, no source)',
  },
  passive: {
    changes: {
      conditioning: { torqueLowpass_Hz: 6, angleLowpass_Hz: 2 },
      movement: { joinPause_ms: 300 },
    },
    source:
      'real sweeps of 4-5 deg/s stick and slip: at 10 Hz one sweep falls apart into many movements',
  },
};

export const PATTERN_PRESETS: Readonly<Record<string, Preset>> = {
  'ankle-plantarflexion-dorsiflexion': {
    changes: { measures: { angles_deg: [-20, -10, 0, 10], stiffnessAngles_deg: [-10, 0, 10] } },
    source: 'Riemann 2001 (J Athl Train 36:369): stiffness at 10 below, neutral and 10 above',
  },
  'knee-extension-flexion': {
    changes: { measures: { angles_deg: [30, 40, 50, 60], stiffnessAngles_deg: [30, 60] } },
    source: 'angle-specific ratios at 30, 40 and 50 deg (Aagaard 1995); 60: common practice',
  },
};
