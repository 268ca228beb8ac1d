import { EVERY, type Measure } from './measure.ts';
import type { Window } from './window.ts';

/** Largest torque in the direction of the effort; impacts and missing samples are never it. */
export const peakTorque = {
  id: 'peakTorque_Nm',
  name: 'Peak torque',
  unit: 'Nm',
  formula: 'max τ(t) over the phase, low-pass filtered, weight removed, impacts left out',
  source: 'usual definition; filter: Robertson & Dowling 2003',
  check: 'scipy-recompute, ankle-stretch-hold, analytic-repetition',
  actions: EVERY,
  of: ({ peak, peakable_Nm }: Window) => (peak < 0 ? null : peakable_Nm[peak]),
} as const satisfies Measure<string, number | null>;
