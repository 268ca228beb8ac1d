/**
 * The way from what is true to the counts of one sample: delay, noise and converter, output by output.
 */
import type { Side } from '../analysis-types.ts';
import type { Moment } from './bench.ts';
import { outputs, type Imperfections } from './outputs.ts';
import { createRandom } from './random.ts';
import type { Rig } from './rigs.ts';
import { createConverter, createDelay, type Output } from './sensor.ts';

export interface Readout {
  /** Follows one step of physics. */
  step(now: Readonly<Moment>): void;
  /** Writes the counts of one sample, in the order of the channels, to row i of the columns. */
  sample(columns: readonly Float64Array[], i: number): void;
}

export interface ReadoutOptions {
  readonly rig: Rig;
  readonly side: Side;
  readonly seed: number;
  readonly imperfections: Imperfections;
  readonly rate_Hz: number;
  readonly step_s: number;
}

export function createReadout(options: ReadoutOptions): Readout {
  const { rig, side, seed, imperfections, rate_Hz, step_s } = options;
  const bias = 2 * createRandom(seed, 'bias').uniform() - 1;
  const { torque, angle, velocity, trigger } = outputs(rig, side, imperfections, bias);
  const channel = (name: string, output: Output, read: (now: Readonly<Moment>) => number) => {
    const delay = createDelay(Math.round(output.delay_s / step_s));
    const convert = createConverter(output, createRandom(seed, name), rate_Hz);
    let late = 0;
    return {
      follow: (now: Readonly<Moment>) => (late = delay(read(now))),
      convert: () => convert(late),
    };
  };
  const channels = [
    channel('torque', torque, (now) => now.sensor_Nm),
    channel('angle', angle, (now) => now.angle_deg),
    channel('velocity', velocity, (now) => now.velocity_degps),
    channel('trigger', trigger, (now) => (now.repetition > 0 ? 1 : 0)),
  ];
  return {
    step(now) {
      for (const each of channels) each.follow(now);
    },
    sample(columns, i) {
      for (const [c, each] of channels.entries()) {
        const column = columns[c];
        if (column) column[i] = each.convert();
      }
    },
  };
}
