/**
 * A recipe: all parameters of one analysis in one document, with a version and a hash.
 * A number may depend on nothing else but the samples, the stated conditions and this.
 */
import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import type { FlagThresholds } from '../flags/thresholds.ts';
import type { PARAMETERS } from './parameters.ts';
import type {
  ChoiceParameter,
  ListParameter,
  NumberParameter,
  OptionalParameter,
} from './parameter.ts';

export const RECIPE_VERSION = 1;

type Value<P> = P extends NumberParameter
  ? number
  : P extends OptionalParameter
    ? number | null
    : P extends ListParameter
      ? readonly number[]
      : P extends ChoiceParameter<infer T>
        ? T
        : never;

export type Groups = {
  readonly [G in keyof typeof PARAMETERS]: {
    readonly [K in keyof (typeof PARAMETERS)[G]]: Value<(typeof PARAMETERS)[G][K]>;
  };
};

export interface Recipe extends Groups {
  readonly version: typeof RECIPE_VERSION;
  /** `isokinetic`, `passive, ankle-...`, or whatever its author calls it. Not part of the hash. */
  readonly name: string;
}

/** Some parameters of some groups: what a preset or a person changes. */
export type RecipeChanges = {
  readonly [G in keyof Groups]?: Partial<Groups[G]>;
};

export function changedRecipe(recipe: Recipe, name: string, changes: RecipeChanges): Recipe {
  const groups = Object.entries(changes).map(([group, values]) => [
    group,
    { ...recipe[group as keyof Groups], ...values },
  ]);
  return { ...recipe, name, ...(Object.fromEntries(groups) as RecipeChanges) } as Recipe;
}

/** SHA-256 of the canonical JSON (keys sorted, no blanks) of everything but the name. */
export function recipeHash(recipe: Recipe): string {
  return bytesToHex(sha256(utf8ToBytes(canonicalJson({ ...recipe, name: undefined }))));
}

/** JSON with sorted keys: equal documents have equal bytes. */
export function canonicalJson(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
  if (typeof value === 'object' && value !== null) {
    const known = Object.entries(value).filter(([, v]) => v !== undefined);
    const entries = known.sort(([a], [b]) => (a < b ? -1 : 1));
    return `{${entries.map(([key, v]) => `${JSON.stringify(key)}:${canonicalJson(v)}`).join(',')}}`;
  }
  return JSON.stringify(value);
}

/** The flags' limits of this recipe in the form the flags take. */
export function flagThresholds(recipe: Recipe): FlagThresholds {
  const [fewest = 3, most = 10] = recipe.flags.consistencyRepetitions;
  return { ...recipe.flags, consistencyRepetitions: [fewest, most] };
}
