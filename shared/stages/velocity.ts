/**
 * Angular velocity where the machine gives none: the change of the low-passed angle.
 * The first sample after a hole has none. A measured velocity is never replaced.
 */
import { causalLowPass } from './low-pass.ts';
import { restart, sweep } from '../dsp/section.ts';
import type { Stage } from './index.ts';

export const velocity = {
  id: 'velocity',
  about: 'Velocity as the change of the low-passed angle, when no velocity is wired.',
  create: ({ rate_Hz }, { angleCutOff_Hz, order }, present) => {
    if (!present.has('angle_deg') || present.has('velocity_degps')) return null;
    const filter = causalLowPass(order, angleCutOff_Hz, rate_Hz);
    let last = Number.NaN;
    return {
      reads: ['angle_deg'],
      writes: [{ name: 'velocity_degps', unit: 'degps', channel: '' }],
      run(inputs, outputs, n) {
        const out = outputs[0];
        sweep(filter, inputs[0], out, n);
        let before = last;
        for (let i = 0; i < n; i += 1) {
          const here = out[i];
          out[i] = (here - before) * rate_Hz;
          before = here;
        }
        last = before;
      },
      restart() {
        restart(filter);
        last = Number.NaN;
      },
    };
  },
} as const satisfies Stage;
