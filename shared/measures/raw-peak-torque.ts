import { EVERY, type Measure } from './measure.ts';
import { largestAt, type Window } from './window.ts';

/** What a peak reading without filter would say, impacts and all. */
export const rawPeakTorque = {
  id: 'rawPeakTorque_Nm',
  name: 'Raw peak torque',
  unit: 'Nm',
  formula: 'max τ(t) over the phase before filtering, impacts included, weight removed',
  source: 'kept beside the peak so that what was left out can be seen',
  check: 'ankle-stretch-hold',
  actions: EVERY,
  of(window: Window) {
    const at = largestAt(window.unfiltered_Nm, window);
    return at < 0 ? null : window.unfiltered_Nm[at];
  },
} as const satisfies Measure<string, number | null>;
