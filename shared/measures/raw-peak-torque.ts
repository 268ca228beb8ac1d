import { EVERY, type Measure } from './measure.ts';
import type { Window } from './window.ts';

/** What a peak reading without filter would say, impacts and all. */
export const rawPeakTorque = {
  id: 'rawPeakTorque_Nm',
  name: 'Raw peak torque',
  unit: 'Nm',
  formula: 'max τ(t) over the phase before filtering, impacts included, weight removed',
  source: 'kept beside the peak so that what was left out can be seen',
  check: 'ankle-stretch-hold',
  actions: EVERY,
  of({ unfiltered_Nm, effort, first, end }: Window) {
    let most = 0;
    for (let i = first; i < end; i += 1) {
      const torque = effort * unfiltered_Nm[i];
      if (torque > most) most = torque;
    }
    return most > 0 ? most : null;
  },
} as const satisfies Measure<string, number | null>;
