import { MOVING, type Measure } from './measure.ts';
import type { Window } from './window.ts';

/** How long the limb was free before the machine loaded it at speed. */
export const timeToSpeed = {
  id: 'timeToSpeed_s',
  name: 'Time to speed',
  unit: 's',
  formula: 't(speed first within reach of the target) - t(start)',
  source: 'usual definition; 90 % of the target from the recipe',
  check: 'analytic-repetition',
  actions: MOVING,
  of(window: Window) {
    const at = firstAtSpeed(window, 1);
    return at < 0 ? null : window.time_s[at] - window.time_s[window.first];
  },
} as const satisfies Measure<string, number | null>;

/** First sample at speed, or the last for step -1; -1 where it never is. */
export function firstAtSpeed(window: Window, step: 1 | -1): number {
  const { velocity_degps, targetSpeed_degps, direction, first, end, recipe } = window;
  if (velocity_degps === null || targetSpeed_degps === null) return -1;
  const least = (recipe.measures.timeToSpeed_pct / 100) * targetSpeed_degps;
  for (let i = step === 1 ? first : end - 1; i >= first && i < end; i += step) {
    if (direction * velocity_degps[i] >= least) return i;
  }
  return -1;
}
