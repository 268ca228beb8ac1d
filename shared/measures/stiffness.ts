import { stiffnessAt } from '../gravity/stiffness.ts';
import type { Measure } from './measure.ts';
import type { Window } from './window.ts';

/** Points a polynomial is fitted through: more only cost time. */
const MOST_POINTS = 2000;

/**
 * Slope of the limb's resistance at the recipe's angles, null at an angle that was not swept. Positive:
 * the further the angle rises, the more torque pulls it back.
 */
export const stiffness = {
  id: 'stiffness_Nmpdeg',
  name: 'Passive stiffness',
  unit: 'Nm/deg',
  formula: '- dτ/dθ at the angle, of a fourth-order polynomial of τ over θ',
  source: 'Riemann et al. 2001, J Athl Train 36:369',
  check: 'analytic-repetition',
  actions: ['passive'],
  of(window: Window) {
    const { stiffnessAngles_deg, stiffnessOrder } = window.recipe.measures;
    const { angle_deg, torque_Nm, effort, first, end } = window;
    if (angle_deg === null || stiffnessAngles_deg.length === 0) return null;
    const stride = Math.max(1, Math.ceil((end - first) / MOST_POINTS));
    const angles = everyNth(angle_deg.subarray(first, end), stride);
    const torques = everyNth(torque_Nm.subarray(first, end), stride).map((t) => effort * t);
    const slopes = stiffnessAt(angles, torques, stiffnessAngles_deg, stiffnessOrder);
    return Object.fromEntries(
      slopes.map(({ angle_deg: angle, stiffness_Nmpdeg }) => [String(angle), stiffness_Nmpdeg]),
    );
  },
} as const satisfies Measure<string, Readonly<Record<string, number | null>> | null>;

function everyNth(values: Float64Array, stride: number): Float64Array {
  return Float64Array.from(
    { length: Math.ceil(values.length / stride) },
    (_, k) => values[k * stride],
  );
}
