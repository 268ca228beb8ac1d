import { EVERY, type Measure } from './measure.ts';
import type { Window } from './window.ts';

/** From the beginning of movement, isometric from the onset of torque. */
export const timeToPeakTorque = {
  id: 'timeToPeakTorque_s',
  name: 'Time to peak torque',
  unit: 's',
  formula: 't(peak) - t(start of the phase)',
  source: 'usual definition',
  check: 'scipy-recompute, analytic-repetition',
  actions: EVERY,
  of: ({ peak, first, time_s }: Window) => (peak < 0 ? null : time_s[peak] - time_s[first]),
} as const satisfies Measure<string, number | null>;
