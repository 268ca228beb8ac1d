import { MOVING, type Measure } from './measure.ts';
import { firstAtSpeed } from './time-to-speed.ts';
import type { Window } from './window.ts';

export const brakingTime = {
  id: 'brakingTime_s',
  name: 'Braking time',
  unit: 's',
  formula: 't(end) - t(speed last within reach of the target)',
  source: 'usual definition; 90 % of the target from the recipe',
  check: 'analytic-repetition',
  actions: MOVING,
  of(window: Window) {
    const at = firstAtSpeed(window, -1);
    return at < 0 ? null : window.time_s[window.end - 1] - window.time_s[at];
  },
} as const satisfies Measure<string, number | null>;
