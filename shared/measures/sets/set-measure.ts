/** What a measure of a set is: computed from its counting repetitions in order. */
import type { Phase } from '../../analysis-types.ts';
import type { Recipe } from '../../recipe/recipe.ts';

export interface SetMeasure<Id extends string> {
  readonly id: Id;
  readonly name: string;
  readonly unit: string;
  readonly formula: string;
  readonly source: string;
  readonly check: string;
  /** Null for too few repetitions, or where one lacks what is needed. */
  of(phases: readonly Phase[], recipe: Recipe): number | null;
}

/** The numbers of one measure, or null when a repetition has none. */
export function numbersOf(
  phases: readonly Phase[],
  id: 'peakTorque_Nm' | 'work_J' | 'peakPower_W',
): readonly number[] | null {
  const numbers = phases.map((phase) => phase[id]).filter((value) => value !== null);
  return numbers.length === phases.length && numbers.length > 0 ? numbers : null;
}

export function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
