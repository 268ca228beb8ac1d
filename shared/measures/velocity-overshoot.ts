import { MOVING, type Measure } from './measure.ts';
import { peakVelocity } from './peak-velocity.ts';
import type { Window } from './window.ts';

/** Negative when the speed was never reached. */
export const velocityOvershoot = {
  id: 'velocityOvershoot_pct',
  name: 'Velocity overshoot',
  unit: '%',
  formula: '100 (peak velocity / target speed - 1)',
  source: 'fourth part of an isokinetic movement: J Sports Sci Med 2010',
  check: 'elbow-constant-velocity',
  actions: MOVING,
  of(window: Window) {
    const peak_degps = peakVelocity.of(window);
    const { targetSpeed_degps } = window;
    if (peak_degps === null || targetSpeed_degps === null) return null;
    return 100 * (peak_degps / targetSpeed_degps - 1);
  },
} as const satisfies Measure<string, number | null>;
