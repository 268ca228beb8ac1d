/** One value of a recipe at a time: read, changed with the schema's own checks, and two recipes held side by side. */
import type { Parameter } from './parameter.ts';
import { PARAMETERS } from './parameters.ts';
import { type Groups, type Recipe, RECIPE_VERSION } from './recipe.ts';
import { parseRecipe } from './schema.ts';

export type RecipeValue = number | string | readonly number[] | null;

export interface ParameterPlace {
  readonly group: keyof Groups;
  readonly id: string;
  readonly parameter: Parameter;
}

/** Every parameter, in the order of the README's table. */
export const PLACES: readonly ParameterPlace[] = Object.entries(PARAMETERS).flatMap(
  ([group, parameters]) =>
    Object.entries<Parameter>(parameters).map(([id, parameter]) => ({
      group: group as keyof Groups,
      id,
      parameter,
    })),
);

export function valueAt(recipe: Recipe, { group, id }: ParameterPlace): RecipeValue {
  const values: Readonly<Record<string, RecipeValue>> = recipe[group];
  return values[id] ?? null;
}

/** A problem is one sentence that names the parameter; the recipe given stays as it was. */
export function withValue(
  recipe: Recipe,
  { group, id }: ParameterPlace,
  value: RecipeValue,
): { readonly recipe: Recipe } | { readonly problem: string } {
  return parseRecipe({ version: RECIPE_VERSION, [group]: { [id]: value } }, recipe);
}

export function differingPlaces(a: Recipe, b: Recipe): readonly ParameterPlace[] {
  return PLACES.filter((place) => !isSame(valueAt(a, place), valueAt(b, place)));
}

function isSame(a: RecipeValue, b: RecipeValue): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

/** What a person typed as a value: numbers with spaces or commas between for a list, empty for "not done". */
export function typedValue(text: string, parameter: Parameter): RecipeValue {
  const plain = text.trim().replaceAll('\u2212', '-');
  switch (parameter.kind) {
    case 'choice':
      return plain;
    case 'list':
      return plain === '' ? [] : plain.split(/[\s,;]+/).map(Number);
    case 'optional':
      return plain === '' ? null : Number(plain);
    case 'number':
      return plain === '' ? Number.NaN : Number(plain);
  }
}
