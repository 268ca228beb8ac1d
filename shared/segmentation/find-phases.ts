/** Phases of a signal, whatever the mode: each is handed on with its columns, in order of time. */
import type { Conditions, Mode, Signal } from '../analysis-types.ts';
import type { Recipe } from '../recipe/recipe.ts';
import { effortPhases } from './effort-phases.ts';
import type { Motion } from './motion.ts';
import { movementPhases } from './movement-phases.ts';
import type { FoundPhase } from './phase.ts';

export interface PhaseSearch {
  readonly signal: Signal;
  readonly motion: Motion | null;
  readonly mode: Mode;
  readonly conditions: Conditions;
  readonly recipe: Recipe;
}

export interface TakenPhases<T> {
  readonly phases: readonly T[];
  /** Speeds that were worked out, in the order they first occur; empty when stated or none. */
  readonly inferredSpeeds_degps: readonly number[];
}

/** `take` makes of each phase what is kept of it. */
export function takePhases<T>(search: PhaseSearch, take: (found: FoundPhase) => T): TakenPhases<T> {
  const { mode, motion } = search;
  if (mode === 'isometric') {
    return { phases: effortPhases(search).map(take), inferredSpeeds_degps: [] };
  }
  if (motion === null) return { phases: [], inferredSpeeds_degps: [] };
  return movementPhases({ ...search, mode, motion }, take);
}
