import { EVERY, type Measure } from './measure.ts';
import { integral } from './integral.ts';
import { finiteOrNull, once, type Window } from './window.ts';

/** Positive in the direction of the effort. */
export const impulse = {
  id: 'impulse_Nms',
  name: 'Impulse',
  unit: 'Nm s',
  formula: '∫ τ dt over the phase, trapezoidal',
  source: 'usual definition',
  check: 'analytic-repetition, plantarflexion-mvc',
  actions: EVERY,
  of: once((window: Window) => {
    if (window.hasLongHole) return null;
    return finiteOrNull(integral(window.torque_Nm, window.time_s, window));
  }),
} as const satisfies Measure<string, number | null>;
