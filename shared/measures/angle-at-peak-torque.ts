import { EVERY, type Measure } from './measure.ts';
import { finiteOrNull, type Window } from './window.ts';

export const angleAtPeakTorque = {
  id: 'angleAtPeakTorque_deg',
  name: 'Angle at peak torque',
  unit: 'deg',
  formula: 'filtered angle at the sample with the peak torque',
  source: 'usual definition',
  check: 'scipy-recompute, ankle-stretch-hold',
  actions: EVERY,
  of: ({ peak, angle_deg }: Window) =>
    peak < 0 || angle_deg === null ? null : finiteOrNull(angle_deg[peak]),
} as const satisfies Measure<string, number | null>;
