/**
 * The simulated subject on the simulated machine: seeded, deterministic, with the truth beside every
 * sample. The same options give the same bits however the samples are asked for.
 */
import type { Side } from '../analysis-types.ts';
import type { StreamFormat } from '../block/block.ts';
import type { Gravity } from '../gravity/gravity.ts';
import type { Wiring } from '../wiring/schema.ts';
import { createBench, type Moment } from './bench.ts';
import { CHANNELS, demoWiring, TYPICAL, type Imperfections } from './outputs.ts';
import { play, startAngle_deg } from './play.ts';
import { createReadout } from './readout.ts';
import { findRig, trueWeight, type RigPattern } from './rigs.ts';
import type { ScriptItem } from './script.ts';
import { SUBJECTS, type SubjectModel } from './subjects.ts';

export interface SimulationOptions {
  /** Any integer. */
  readonly seed?: number;
  readonly pattern?: RigPattern;
  readonly side?: Side;
  readonly subject?: SubjectModel;
  readonly script: readonly ScriptItem[];
  /** Plays the script for ever; otherwise the subject rests after it. */
  readonly repeat?: boolean;
  readonly rate_Hz?: number;
  readonly imperfections?: Imperfections;
}

/** Columns of equal length: what the device sends (counts), and what really happened. */
export interface SimulatedSamples {
  readonly n: number;
  readonly columns: readonly Float64Array[];
  readonly truth: Truth;
}

/** Quantities of `Moment`, each at the time of the sample. */
export type Truth = Readonly<Record<keyof Moment, Float64Array>>;

export const TRUTH_COLUMNS = [
  'muscle_Nm',
  'weight_Nm',
  'passive_Nm',
  'sensor_Nm',
  'angle_deg',
  'velocity_degps',
  'item',
  'repetition',
  'way',
] as const satisfies readonly (keyof Moment)[];

export interface Simulation {
  readonly format: StreamFormat;
  readonly wiring: Wiring;
  /** What a perfect weighing would find. */
  readonly weight: Extract<Gravity, { kind: 'sinusoid' }>;
  /** True once the script has been played to its end. */
  readonly isOver: boolean;
  /** The next n samples. The arrays are the caller's to keep. */
  next(n: number): SimulatedSamples;
}

/** Physics runs at this rate or a little above, a whole number of steps a sample. */
const LEAST_STEP_RATE_HZ = 2000;

export function createSimulation(options: SimulationOptions): Simulation {
  const { seed = 1, pattern = 'ankle-plantarflexion-dorsiflexion', side = 'right' } = options;
  const { script, subject = SUBJECTS[2], rate_Hz = 1000, imperfections = TYPICAL } = options;
  const rig = findRig(pattern);
  const wiring = demoWiring(pattern, side);
  if (rig === null || wiring === null) throw new RangeError(`no rig for ${pattern}`);
  const stepsPerSample = Math.ceil(LEAST_STEP_RATE_HZ / rate_Hz);
  const step_s = 1 / (rate_Hz * stepsPerSample);
  const starts = script.map((item) => startAngle_deg(item, rig));
  const start_deg = starts.find((angle) => angle !== null) ?? rig.range_deg[1];
  const bench = createBench({ rig, subject, side, seed, imperfections, start_deg, step_s });
  const readout = createReadout({ rig, side, seed, imperfections, rate_Hz, step_s });
  const player = play(script, options.repeat ?? false, bench.stage);
  let isOver = false;

  const step = () => {
    if (!isOver && player.next().done === true) {
      isOver = true;
      bench.stage.isResting = true;
    }
    bench.step();
    readout.step(bench.now);
  };

  return {
    format: { rate_Hz, channels: CHANNELS, integrity: 'crc32', notes: { device: 'simulated' } },
    wiring,
    weight: trueWeight(rig, subject),
    get isOver() {
      return isOver;
    },
    next(n) {
      const columns = CHANNELS.map(() => new Float64Array(n));
      const truth = emptyTruth(n);
      for (let i = 0; i < n; i++) {
        for (let k = 0; k < stepsPerSample; k++) step();
        readout.sample(columns, i);
        for (const name of TRUTH_COLUMNS) truth[name][i] = bench.now[name];
      }
      return { n, columns, truth };
    },
  };
}

function emptyTruth(n: number): Truth {
  const column = () => new Float64Array(n);
  return {
    muscle_Nm: column(),
    weight_Nm: column(),
    passive_Nm: column(),
    sensor_Nm: column(),
    angle_deg: column(),
    velocity_degps: column(),
    item: column(),
    repetition: column(),
    way: column(),
  };
}
