import { MOVING, type Measure } from './measure.ts';
import type { Window } from './window.ts';

/** Largest power given (eccentric: taken) by the muscles, positive; impacts left out. */
export const peakPower = {
  id: 'peakPower_W',
  name: 'Peak power',
  unit: 'W',
  formula: 'max |τ ω|, ω in rad/s, where the muscles push their way',
  source: 'usual definition',
  check: 'analytic-repetition, running-joint-power',
  actions: MOVING,
  of({ peakable_Nm, velocity_degps, first, end, direction }: Window) {
    if (velocity_degps === null) return null;
    let most = 0;
    for (let i = first; i < end; i += 1) {
      const power = peakable_Nm[i] * direction * velocity_degps[i];
      if (power > most) most = power;
    }
    return most > 0 ? (most * Math.PI) / 180 : null;
  },
} as const satisfies Measure<string, number | null>;
