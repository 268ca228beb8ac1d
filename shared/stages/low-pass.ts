/**
 * Torque for the eye: one causal Butterworth pass, begun from the steady state of its first sample.
 * Weight is removed first where it is known. No measure and no flag is taken from it.
 */
import { butterworthLowPass } from '../dsp/butterworth.ts';
import { cascade, restart, sweep, type Cascade } from '../dsp/section.ts';
import type { Stage } from './index.ts';

/** A slow device's cut-off is lowered to this share of its rate: near half, the design degenerates. */
const MOST_OF_RATE = 0.4;

export const lowPass = {
  id: 'lowPass',
  about: 'Torque smoothed for the eye.',
  create: ({ rate_Hz }, { torqueCutOff_Hz, order }, present) => {
    if (!present.has('torque_Nm')) return null;
    const filter = causalLowPass(order, torqueCutOff_Hz, rate_Hz);
    return {
      reads: [present.has('muscleTorque_Nm') ? 'muscleTorque_Nm' : 'torque_Nm'],
      writes: [{ name: 'torqueLive_Nm', unit: 'Nm', channel: '' }],
      run(inputs, outputs, n) {
        sweep(filter, inputs[0], outputs[0], n);
      },
      restart() {
        restart(filter);
      },
    };
  },
} as const satisfies Stage;

export function causalLowPass(order: number, wanted_Hz: number, rate_Hz: number): Cascade {
  const cutOff_Hz = Math.min(wanted_Hz, MOST_OF_RATE * rate_Hz);
  return cascade(butterworthLowPass({ order, cutOff_Hz, rate_Hz, passes: 1 }));
}
