import { MOVING, type Measure } from './measure.ts';
import { knownEnds, type Window } from './window.ts';

export const rangeOfMotion = {
  id: 'rangeOfMotion_deg',
  name: 'Range of motion',
  unit: 'deg',
  formula: '|θ(end) - θ(start)|, filtered angle',
  source: 'usual definition',
  check: 'scipy-recompute, elbow-constant-velocity',
  actions: MOVING,
  of(window: Window) {
    const { angle_deg } = window;
    if (angle_deg === null) return null;
    const ends = knownEnds(window, angle_deg);
    return ends === null ? null : Math.abs(angle_deg[ends[1]] - angle_deg[ends[0]]);
  },
} as const satisfies Measure<string, number | null>;
