import { MOVING, type Measure } from './measure.ts';
import type { Window } from './window.ts';

/** Fastest speed in the direction of movement, positive. */
export const peakVelocity = {
  id: 'peakVelocity_degps',
  name: 'Peak velocity',
  unit: 'deg/s',
  formula: 'max |dθ/dt|, central difference of the filtered angle',
  source: 'usual definition',
  check: 'scipy-recompute, elbow-constant-velocity',
  actions: MOVING,
  of(window: Window) {
    const { velocity_degps, direction, first, end } = window;
    if (velocity_degps === null) return null;
    let most = 0;
    for (let i = first; i < end; i += 1) {
      const speed = direction * velocity_degps[i];
      if (speed > most) most = speed;
    }
    return most > 0 ? most : null;
  },
} as const satisfies Measure<string, number | null>;
