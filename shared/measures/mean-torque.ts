import { EVERY, type Measure } from './measure.ts';
import { impulse } from './impulse.ts';
import { rangeOfMotion } from './range-of-motion.ts';
import { finiteOrNull, type Window } from './window.ts';
import { work } from './work.ts';

/** Over the angle; isometric over time. */
export const meanTorque = {
  id: 'meanTorque_Nm',
  name: 'Mean torque',
  unit: 'Nm',
  formula: 'work / range of motion in radians; isometric: impulse / duration',
  source: 'usual definition',
  check: 'analytic-repetition',
  actions: EVERY,
  of(window: Window) {
    if (window.action === 'isometric') {
      const { time_s, first, end } = window;
      const impulse_Nms = impulse.of(window);
      return impulse_Nms === null
        ? null
        : finiteOrNull(impulse_Nms / (time_s[end - 1] - time_s[first]));
    }
    const work_J = work.of(window);
    const range_deg = rangeOfMotion.of(window);
    if (work_J === null || range_deg === null) return null;
    return finiteOrNull(work_J / ((range_deg * Math.PI) / 180));
  },
} as const satisfies Measure<string, number | null>;
