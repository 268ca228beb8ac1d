/**
 * How sure a number is: an analysis with the uncertainty of each phase's measures and their span over
 * the published alternatives of the recipe. A second look at the same samples; no number is changed.
 */
import type { AnalysisDocument, Conditions, Phase, Signal } from './analysis-types.ts';
import { phaseDocument } from './measures/phase-document.ts';
import { type InputUncertainty, uncertaintiesOf } from './measures/uncertainty.ts';
import { ALTERNATIVES, type Alternative } from './recipe/alternatives.ts';
import { changedRecipe, type Recipe } from './recipe/recipe.ts';
import { takePhases } from './segmentation/find-phases.ts';
import { inferMode } from './segmentation/infer.ts';
import { motionOf } from './segmentation/motion.ts';

/** Least and most over the recipe in use and its alternatives. */
export type Span = readonly [least: number, most: number];

/**
 * The document with `uncertainty` and `spans` on every phase, and `alternatives` by name. Spans go by
 * measure; those inside the load range as `loadRange.work_J`, rates as their own names.
 */
export function withCertainty(
  document: AnalysisDocument,
  signal: Signal,
  conditions: Conditions,
  recipe: Recipe,
  known: InputUncertainty = {},
): AnalysisDocument & { readonly alternatives: readonly string[] } {
  const mode = conditions.mode ?? inferMode(signal);
  const look = <T>(one: Recipe, take: Parameters<typeof takePhases<T>>[1]): readonly T[] => {
    const motion = motionOf(signal, one);
    return takePhases<T>({ signal, motion, mode, conditions, recipe: one }, take).phases;
  };
  const uncertainties = look(recipe, ({ window }) =>
    uncertaintiesOf(window, known, conditions.gravity),
  );
  const alternatives: readonly Alternative[] = ALTERNATIVES;
  const used = alternatives.filter(({ modes }) => modes.includes(mode));
  const others = used.map(({ name, changes }) =>
    look(changedRecipe(recipe, name, changes), (found) => phaseDocument(found, undefined)),
  );
  const phases = document.phases.map((phase, k): Phase => {
    const alike = others.flatMap((list) => overlapping(list, phase));
    return { ...phase, uncertainty: uncertainties[k] ?? {}, spans: spansOf(phase, alike) };
  });
  return { ...document, phases, alternatives: used.map(({ name }) => name) };
}

/** The phase of another recipe that overlaps this one most; none when none does. */
export function overlapping(phases: readonly Phase[], { start_s, end_s }: Phase): readonly Phase[] {
  let best: Phase | null = null;
  let most_s = 0;
  for (const phase of phases) {
    const overlap_s = Math.min(phase.end_s, end_s) - Math.max(phase.start_s, start_s);
    if (overlap_s > most_s) [best, most_s] = [phase, overlap_s];
  }
  return best === null ? [] : [best];
}

function spansOf(phase: Phase, others: readonly Phase[]): Record<string, Span> {
  const spans: Record<string, Span> = {};
  const all = others.map(numbersOf);
  for (const [id, value] of numbersOf(phase)) {
    const values = [value, ...all.flatMap((numbers) => numbers.get(id) ?? [])];
    spans[id] = [Math.min(...values), Math.max(...values)];
  }
  return spans;
}

/** Numbers of a phase that depend on the recipe, those of one level below by their path. */
export function numbersOf(phase: Phase): Map<string, number> {
  const numbers = new Map<string, number>();
  for (const [id, value] of Object.entries(phase)) {
    if (NOT_MEASURED.has(id)) continue;
    if (typeof value === 'number') numbers.set(id, value);
    else if (typeof value === 'object' && value !== null) {
      for (const [key, inner] of Object.entries(value)) {
        if (typeof inner === 'number') numbers.set(`${id}.${key}`, inner);
      }
    }
  }
  return numbers;
}

const NOT_MEASURED = new Set(['repetition', 'set', 'reasons', 'targetSpeed_degps', 'decision']);
