/** What body-segment tables let expect of this subject's limb, with the limits of the recipe in use. */
import { type Expectation, expectedWeight } from '../../shared/gravity/plausibility.ts';
import type { JointPattern } from '../../shared/joints/pattern.ts';
import { presetRecipe } from '../../shared/recipe/presets.ts';
import { flagThresholds } from '../../shared/recipe/recipe.ts';
import type { Setup } from '../../shared/wire/events.ts';
import type { Catalogue } from '../catalogue/catalogue.ts';

export interface BodySize {
  readonly mass_kg: number | null;
  readonly height_m: number | null;
}

/** Null where the catalogue does not say. */
export function bodyOf(catalogue: Catalogue, subject: string): BodySize {
  const body = catalogue.get('subject', subject)?.body ?? {};
  const mass_kg = body['bodyMass_kg'];
  const height_cm = body['height_cm'];
  return {
    mass_kg: typeof mass_kg === 'number' ? mass_kg : null,
    height_m: typeof height_cm === 'number' ? height_cm / 100 : null,
  };
}

export function expectedFor(
  { limb }: JointPattern,
  setup: Setup,
  { mass_kg, height_m }: BodySize,
): Expectation {
  const limits = flagThresholds(presetRecipe(setup));
  return expectedWeight(limb, mass_kg ?? 0, height_m, limits);
}
