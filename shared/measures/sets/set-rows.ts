/** Rows of sets: one for each direction, effort, action and speed, over the repetitions that count. */
import type { Phase, SetRow } from '../../analysis-types.ts';
import type { Recipe } from '../../recipe/recipe.ts';
import { measureSet } from './index.ts';

export interface CountedSet {
  readonly row: SetRow;
  readonly phases: readonly Phase[];
}

/** In the order in which they first occur; a set none of whose repetitions count has nulls. */
export function setsOf(phases: readonly Phase[], recipe: Recipe): readonly CountedSet[] {
  const groups = new Map<string, Phase[]>();
  for (const phase of phases) {
    const { direction, effort, action } = phase;
    const key = JSON.stringify([direction, effort, action, speedOf(phase)]);
    const group = groups.get(key);
    if (group) group.push(phase);
    else groups.set(key, [phase]);
  }
  return [...groups.values()].map((group) => {
    const counting = group.filter(({ counts }) => counts);
    const { direction, effort, action } = group[0];
    const row: SetRow = {
      direction,
      effort,
      action,
      speed_degps: speedOf(group[0]),
      repetitions: counting.length,
      ...measureSet(counting, recipe),
    };
    return { row, phases: counting };
  });
}

function speedOf({ targetSpeed_degps: speed }: Phase): number | null {
  return typeof speed === 'number' ? speed : null;
}
