/**
 * The muscles' torque: what was read without what the weight of limb and attachment adds to it.
 * Without a weighing there is no such column, rather than one that looks corrected.
 */
import { weightOf } from '../gravity/remove.ts';
import type { Stage } from './index.ts';

export const gravity = {
  id: 'gravity',
  about: "Torque without the limb's weight, once the limb was weighed.",
  create: (_plan, { gravity: weighed }, present) => {
    if (weighed.kind === 'none' || !present.has('torque_Nm') || !present.has('angle_deg'))
      return null;
    const weight = weightOf(weighed);
    return {
      reads: ['torque_Nm', 'angle_deg'],
      writes: [{ name: 'muscleTorque_Nm', unit: 'Nm', channel: '' }],
      run(inputs, outputs) {
        weight.remove(inputs[0], inputs[1], outputs[0]);
      },
      restart() {},
    };
  },
} as const satisfies Stage;
