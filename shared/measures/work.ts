import { MOVING, type Measure } from './measure.ts';
import { integral } from './integral.ts';
import { finiteOrNull, once, type Window } from './window.ts';

/** Net work of the whole phase, positive; null across a hole too long to be bridged. */
export const work = {
  id: 'work_J',
  name: 'Work',
  unit: 'J',
  formula: '|∫ τ dθ|, θ in radians, trapezoidal over the true samples, net',
  source: 'usual definition; trapezoidal rule',
  check: 'analytic-repetition, ankle-stretch-hold, wheel-repetitions',
  actions: MOVING,
  of: once((window: Window) => {
    const { torque_Nm, angle_deg } = window;
    if (angle_deg === null || window.hasLongHole) return null;
    return finiteOrNull((Math.abs(integral(torque_Nm, angle_deg, window)) * Math.PI) / 180);
  }),
} as const satisfies Measure<string, number | null>;
