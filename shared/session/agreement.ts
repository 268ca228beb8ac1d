/**
 * How near the best two efforts of a set are: figures with what they were compared with, for a person to
 * judge. Not a verdict on the effort or the person.
 */
import type { Phase } from '../analysis-types.ts';

export interface Agreement {
  /** Direction in which the muscles push. */
  readonly effort: string;
  readonly best_Nm: number;
  /** Null until there is a second one. */
  readonly second_Nm: number | null;
  /** 100 (best - second) / best. */
  readonly apart_pct: number | null;
  readonly within_pct: number;
  /** Efforts that would still be needed to have two within the limit, if the next equals the best. */
  readonly more: 0 | 1;
}

/** One an effort, in the order of the phases; only phases that count and have a peak. */
export function agreementsOf(phases: readonly Phase[], within_pct: number): Agreement[] {
  const peaks = new Map<string, number[]>();
  for (const { effort, action, counts, peakTorque_Nm } of phases) {
    if (!counts || action === 'passive' || !(peakTorque_Nm !== null && peakTorque_Nm > 0)) continue;
    peaks.set(effort, [...(peaks.get(effort) ?? []), peakTorque_Nm]);
  }
  return [...peaks].map(([effort, all]) => {
    const [best_Nm = 0, second_Nm = null] = all.toSorted((a, b) => b - a);
    const apart_pct = second_Nm === null ? null : (100 * (best_Nm - second_Nm)) / best_Nm;
    const more = apart_pct !== null && apart_pct <= within_pct ? 0 : 1;
    return { effort, best_Nm, second_Nm, apart_pct, within_pct, more };
  });
}
