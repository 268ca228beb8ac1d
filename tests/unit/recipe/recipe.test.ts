import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { FLAG_THRESHOLDS } from '../../../shared/flags/thresholds.ts';
import { PATTERNS } from '../../../shared/joints/index.ts';
import { PARAMETERS } from '../../../shared/recipe/parameters.ts';
import type { Parameter } from '../../../shared/recipe/parameter.ts';
import {
  DEFAULT_RECIPE,
  MODE_PRESETS,
  PATTERN_PRESETS,
  presetRecipe,
} from '../../../shared/recipe/presets.ts';
import {
  canonicalJson,
  changedRecipe,
  flagThresholds,
  recipeHash,
} from '../../../shared/recipe/recipe.ts';
import { alternativeRows, recipeRows } from '../../../shared/recipe/markdown.ts';
import { ALTERNATIVES } from '../../../shared/recipe/alternatives.ts';
import { parseRecipe } from '../../../shared/recipe/schema.ts';

const MODES = ['isokinetic', 'isotonic', 'isometric', 'passive'] as const;

const parameters = Object.entries(PARAMETERS).flatMap(([group, own]) =>
  Object.entries<Parameter>(own).map(([id, parameter]) => [`${group}.${id}`, parameter] as const),
);

describe.each(parameters)('%s', (path, parameter) => {
  it('has a source, a sentence, and a default inside its range', () => {
    expect(parameter.about.length).toBeGreaterThan(3);
    expect(parameter.source.length).toBeGreaterThan(3);
    if (parameter.kind === 'choice') {
      expect(parameter.choices).toContain(parameter.preset);
      return;
    }
    const { preset, least, most } = parameter;
    for (const value of [preset].flat()) {
      if (value === null) continue;
      expect(value).toBeGreaterThanOrEqual(least);
      expect(value).toBeLessThanOrEqual(most);
    }
  });

  it('is refused outside its range, by its name', () => {
    const [group = '', id = ''] = path.split('.');
    const wrong = parameter.kind === 'choice' ? 'nonsense' : parameter.most * 2 + 1;
    const value = parameter.kind === 'list' ? [wrong] : wrong;
    const parsed = parseRecipe({ version: 1, [group]: { [id]: value } }, DEFAULT_RECIPE);
    expect('problem' in parsed ? parsed.problem : '').toContain(`recipe: ${path}`);
  });
});

describe('a recipe from a file', () => {
  it('keeps what it does not state', () => {
    const document: unknown = JSON.parse('{"version":1,"conditioning":{"torqueLowpass_Hz":20}}');
    const parsed = parseRecipe(document, DEFAULT_RECIPE);
    if ('problem' in parsed) throw new Error(parsed.problem);
    expect(parsed.recipe.conditioning).toEqual({
      ...DEFAULT_RECIPE.conditioning,
      torqueLowpass_Hz: 20,
    });
    expect(parsed.recipe.movement).toEqual(DEFAULT_RECIPE.movement);
  });

  it('is the one that a result printed', () => {
    const printed: unknown = JSON.parse(
      JSON.stringify({ ...DEFAULT_RECIPE, hash: recipeHash(DEFAULT_RECIPE) }),
    );
    expect(parseRecipe(printed, presetRecipe({ mode: 'passive' }))).toEqual({
      recipe: DEFAULT_RECIPE,
    });
  });

  it.each([
    [{}, /version/],
    [{ version: 2 }, /version/],
    [{ version: 1, conditionning: {} }, /conditionning/],
    [{ version: 1, conditioning: { torqueLowPass_Hz: 3 } }, /torqueLowPass_Hz/],
    [{ version: 1, onset: { windows_ms: [100, 50] } }, /windows_ms/],
    [[], /recipe/],
    ['x', /recipe/],
    [null, /recipe/],
  ])('is refused in words: %j', (document, message) => {
    const parsed = parseRecipe(document, DEFAULT_RECIPE);
    expect('problem' in parsed ? parsed.problem : '').toMatch(message);
  });
});

describe('the hash', () => {
  it('is of the numbers, not of the name or the order', () => {
    const renamed = { ...DEFAULT_RECIPE, name: 'another' };
    expect(recipeHash(renamed)).toBe(recipeHash(DEFAULT_RECIPE));
    const reversed = Object.fromEntries(Object.entries(DEFAULT_RECIPE).reverse());
    expect(canonicalJson(reversed)).toBe(canonicalJson(DEFAULT_RECIPE));
    const changed = changedRecipe(DEFAULT_RECIPE, 'x', { loadRange: { dropEntry_ms: 51 } });
    expect(recipeHash(changed)).not.toBe(recipeHash(DEFAULT_RECIPE));
  });

  it('is SHA-256 of canonical JSON, as OpenSSL computes it', () => {
    expect(canonicalJson({ b: [1, null], a: 'x' })).toBe('{"a":"x","b":[1,null]}');
    const counted = canonicalJson({ ...DEFAULT_RECIPE, name: undefined });
    expect(counted).not.toContain('"name"');
    const outside = createHash('sha256').update(counted).digest('hex');
    expect(recipeHash(DEFAULT_RECIPE)).toBe(outside);
  });
});

describe('presets', () => {
  it('have a source each', () => {
    for (const { source } of [...Object.values(MODE_PRESETS), ...Object.values(PATTERN_PRESETS)]) {
      expect(source.length).toBeGreaterThan(10);
    }
    const known = PATTERNS.map(({ id }) => id);
    expect(Object.keys(PATTERN_PRESETS).every((id) => known.includes(id))).toBe(true);
  });

  it('are equal only where no source tells them apart', () => {
    const all = MODES.flatMap((mode) => [
      { id: mode, recipe: presetRecipe({ mode }) },
      ...PATTERNS.map(({ id }) => ({
        id: `${mode}, ${id}`,
        recipe: presetRecipe({ mode, pattern: id }),
      })),
    ]);
    const byHash = new Map<string, string[]>();
    for (const { id, recipe } of all) {
      const hash = recipeHash(recipe);
      byHash.set(hash, [...(byHash.get(hash) ?? []), id]);
    }
    const equal = [...byHash.values()].filter((ids) => ids.length > 1);
    // Isotonic and isokinetic: the same limb moves in the same way. Patterns without an entry: no source
    // gives angles of torque or stiffness for them, so they are measured as the mode is.
    const special = ['ankle-plantarflexion-dorsiflexion', 'knee-extension-flexion'];
    const plain = PATTERNS.map(({ id }) => id).filter((id) => !special.includes(id));
    const group = (...modes: readonly string[]) => [
      ...modes.flatMap((mode) => [mode, ...plain.map((id) => `${mode}, ${id}`)]),
    ];
    const pairs = special.map((id) => [`isokinetic, ${id}`, `isotonic, ${id}`]);
    const expected = [
      group('isokinetic', 'isotonic'),
      group('isometric'),
      group('passive'),
      ...pairs,
    ];
    const sorted = (groups: readonly (readonly string[])[]) =>
      groups.map((ids) => [...ids].sort().join(' | ')).sort();
    expect(sorted(equal)).toEqual(sorted(expected));
  });

  it('hand the flags their limits unchanged', () => {
    expect(flagThresholds(DEFAULT_RECIPE)).toEqual(FLAG_THRESHOLDS);
  });
});

describe('the tables of the README', () => {
  it('have a row for each parameter and alternative', () => {
    const rows = recipeRows();
    expect(rows).toHaveLength(parameters.length + 2);
    for (const [path] of parameters) {
      expect(rows.filter((row) => row.startsWith(`| \`${path}\` |`))).toHaveLength(1);
    }
    expect(alternativeRows()).toHaveLength(ALTERNATIVES.length + 2);
    expect(rows.every((row) => row.split(' | ').length === rows[0]?.split(' | ').length)).toBe(
      true,
    );
  });
});
