import { MOVING, type Measure } from './measure.ts';
import type { Window } from './window.ts';

/** Torque where the limb passes the recipe's angles; null for an angle that it never passes. */
export const torqueAtAngle = {
  id: 'torqueAtAngle_Nm',
  name: 'Torque at angle',
  unit: 'Nm',
  formula: 'τ at the first passage of the angle, linear between the two samples around it',
  source: 'usual definition; angles from the recipe',
  check: 'analytic-repetition',
  actions: MOVING,
  of(window: Window) {
    const { angles_deg } = window.recipe.measures;
    if (window.angle_deg === null || angles_deg.length === 0) return null;
    return Object.fromEntries(
      angles_deg.map((angle) => [String(angle), torqueWhere(window, angle)]),
    );
  },
} as const satisfies Measure<string, Readonly<Record<string, number | null>> | null>;

function torqueWhere({ angle_deg, torque_Nm, first, end }: Window, wanted: number): number | null {
  if (angle_deg === null) return null;
  for (let i = first + 1; i < end; i += 1) {
    const a = angle_deg[i - 1];
    const b = angle_deg[i];
    if (!((a <= wanted && wanted <= b) || (b <= wanted && wanted <= a))) continue;
    const share = a === b ? 0 : (wanted - a) / (b - a);
    const torque = torque_Nm[i - 1] + share * (torque_Nm[i] - torque_Nm[i - 1]);
    return torque === torque ? torque : null;
  }
  return null;
}
