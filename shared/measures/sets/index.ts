/** The measures of a set, in the order of columns; one line here is a column and a row of the README. */
import type { Phase } from '../../analysis-types.ts';
import type { Recipe } from '../../recipe/recipe.ts';
import {
  fatigueBestLast,
  fatigueFirstLast,
  fatigueSlope,
  percentDecrement,
  regressionDecline,
  workDecline,
} from './fatigue.ts';
import type { SetMeasure } from './set-measure.ts';
import { repetitionsToStop } from './stop-rule.ts';
import { bestPeakTorque, coefficientOfVariation, meanPeakTorque, totalWork } from './strength.ts';

export const SET_MEASURES = [
  bestPeakTorque,
  meanPeakTorque,
  coefficientOfVariation,
  totalWork,
  workDecline,
  fatigueFirstLast,
  fatigueBestLast,
  percentDecrement,
  fatigueSlope,
  regressionDecline,
  repetitionsToStop,
] as const satisfies readonly SetMeasure<string>[];

export type SetMeasureId = (typeof SET_MEASURES)[number]['id'];

export function measureSet(
  phases: readonly Phase[],
  recipe: Recipe,
): Readonly<Record<SetMeasureId, number | null>> {
  const entries = SET_MEASURES.map((measure: SetMeasure<SetMeasureId>) => [
    measure.id,
    measure.of(phases, recipe),
  ]);
  // Keys are those of the list that the type is made from.
  return Object.fromEntries(entries) as Record<SetMeasureId, number | null>;
}
