import { MOVING, type Measure } from './measure.ts';
import { rangeOfMotion } from './range-of-motion.ts';
import { finiteOrNull, type Window } from './window.ts';

export const meanVelocity = {
  id: 'meanVelocity_degps',
  name: 'Mean velocity',
  unit: 'deg/s',
  formula: 'range of motion / (t(end) - t(start))',
  source: 'usual definition',
  check: 'analytic-repetition, elbow-constant-velocity',
  actions: MOVING,
  of(window: Window) {
    const range_deg = rangeOfMotion.of(window);
    const { time_s, first, end } = window;
    return range_deg === null ? null : finiteOrNull(range_deg / (time_s[end - 1] - time_s[first]));
  },
} as const satisfies Measure<string, number | null>;
