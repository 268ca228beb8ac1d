import { MOVING, type Measure } from './measure.ts';
import { largestAt, type Window } from './window.ts';

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
    const { velocity_degps, direction } = window;
    if (velocity_degps === null) return null;
    const speed = velocity_degps.subarray(window.first, window.end).map((v) => direction * v);
    const at = largestAt(speed, { first: 0, end: speed.length });
    return at < 0 ? null : speed[at];
  },
} as const satisfies Measure<string, number | null>;
