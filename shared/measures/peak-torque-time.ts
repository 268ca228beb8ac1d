import { EVERY, type Measure } from './measure.ts';
import type { Window } from './window.ts';

export const peakTorqueTime = {
  id: 'peakTorqueTime_s',
  name: 'Time of peak torque',
  unit: 's',
  formula: 'time stamp of the sample with the peak torque',
  source: 'usual definition',
  check: 'scipy-recompute',
  actions: EVERY,
  of: ({ peak, time_s }: Window) => (peak < 0 ? null : time_s[peak]),
} as const satisfies Measure<string, number | null>;
