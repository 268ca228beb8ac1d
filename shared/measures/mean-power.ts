import { MOVING, type Measure } from './measure.ts';
import { finiteOrNull, type Window } from './window.ts';
import { work } from './work.ts';

export const meanPower = {
  id: 'meanPower_W',
  name: 'Mean power',
  unit: 'W',
  formula: 'work / (t(end) - t(start))',
  source: 'usual definition',
  check: 'analytic-repetition',
  actions: MOVING,
  of(window: Window) {
    const work_J = work.of(window);
    const { time_s, first, end } = window;
    return work_J === null ? null : finiteOrNull(work_J / (time_s[end - 1] - time_s[first]));
  },
} as const satisfies Measure<string, number | null>;
