/** Reading a recipe from JSON: what is unknown, out of range or of another version is told in words. */
import * as v from 'valibot';
import type { Parameter } from './parameter.ts';
import { PARAMETERS } from './parameters.ts';
import { changedRecipe, type Recipe, RECIPE_VERSION, type RecipeChanges } from './recipe.ts';

const LONGEST_LIST = 12;

function parameterSchema(parameter: Parameter) {
  if (parameter.kind === 'choice') return v.picklist(parameter.choices);
  const value = v.pipe(
    v.number(),
    v.finite(),
    v.minValue(parameter.least),
    v.maxValue(parameter.most),
  );
  switch (parameter.kind) {
    case 'number':
      return value;
    case 'optional':
      return v.nullable(value);
    case 'list':
      return v.pipe(
        v.array(value),
        v.maxLength(LONGEST_LIST),
        v.check((values: number[]) => isRising(values), 'must rise'),
      );
  }
}

function isRising(values: readonly number[]): boolean {
  return values.every((value, i) => i === 0 || value > values[i - 1]);
}

const groupSchemas = Object.fromEntries(
  Object.entries(PARAMETERS).map(([group, parameters]) => [
    group,
    v.optional(
      v.strictObject(
        Object.fromEntries(
          Object.entries<Parameter>(parameters).map(([id, parameter]) => [
            id,
            v.optional(parameterSchema(parameter)),
          ]),
        ),
      ),
    ),
  ]),
);

/** Every parameter may be left out: it then keeps the value of the recipe that is changed. */
export const RecipeSchema = v.strictObject({
  version: v.literal(RECIPE_VERSION),
  name: v.optional(v.pipe(v.string(), v.maxLength(100))),
  hash: v.optional(v.string()),
  ...groupSchemas,
});

/**
 * A recipe from parsed JSON: `base` with what the document states. A problem is one sentence that
 * names the parameter.
 */
export function parseRecipe(
  document: unknown,
  base: Recipe,
): { readonly recipe: Recipe } | { readonly problem: string } {
  const result = v.safeParse(RecipeSchema, document);
  if (!result.success) {
    const issue = result.issues[0];
    const path = v.getDotPath(issue) ?? 'the document';
    return { problem: `recipe: ${path}: ${issue.message}` };
  }
  const groups = Object.entries(result.output).filter(([key]) => key in PARAMETERS);
  // Each group has just been checked against its parameters.
  const changes = Object.fromEntries(groups) as RecipeChanges;
  return { recipe: changedRecipe(base, result.output.name ?? base.name, changes) };
}
