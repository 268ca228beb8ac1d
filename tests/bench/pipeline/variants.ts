/**
 * The same computation written in several ways: calibrate four channels, fourth-order low-pass of torque
 * and of angle, velocity, weight. Each gives a checksum so that all are seen to compute the same.
 */
import { map, Subject } from 'rxjs';
import type { StreamBlock } from '../../../shared/block/block.ts';
import { butterworthLowPass } from '../../../shared/dsp/butterworth.ts';
import { zeroPhase } from '../../../shared/dsp/zero-phase.ts';
import { createPipeline } from '../../../shared/pipeline.ts';
import { seeded } from '../../support/random-stream.ts';
import { frameObjectsThroughRx, frameReusedThroughRx } from './frames.ts';
import { fusedLoop } from './fused.ts';
import {
  BLOCK,
  choices,
  drawn,
  frameFilter,
  plan,
  pooled,
  RATE_HZ,
  scales,
  weightAt,
  type Variant,
} from './workload.ts';

const pooledBlocks: Variant = () => {
  const pipeline = createPipeline(plan, choices);
  let newest: ReadonlyMap<string, Float64Array> = new Map();
  return pooled(
    (block) => {
      newest = pipeline.push(block).columns;
    },
    () => drawn(newest),
  );
};

const pooledBlocksThroughRx: Variant = () => {
  const pipeline = createPipeline(plan, choices);
  const raw$ = new Subject<StreamBlock>();
  let newest: ReadonlyMap<string, Float64Array> = new Map();
  raw$.pipe(map((block) => pipeline.push(block))).subscribe(({ columns }) => {
    newest = columns;
  });
  return pooled(
    (block) => {
      raw$.next(block);
    },
    () => drawn(newest),
  );
};

/** Blocks, but every stage makes new arrays and a new Map, as a first draft would. */
const newArrays: Variant = () => {
  const [torqueFilter, angleFilter] = [frameFilter(20), frameFilter(15)];
  let before = NaN;
  let sum = 0;
  return pooled(
    ({ columns }) => {
      const [torque, angle, emg, trigger] = columns.map((column, c) =>
        column.map((value) => scales[c].slope * value + scales[c].offset),
      );
      const velocity = angle.map(angleFilter).map((here) => {
        const change = (here - before) * RATE_HZ;
        before = here;
        return change;
      });
      const muscle = torque.map((value, i) => value - weightAt(angle[i]));
      const live = muscle.map(torqueFilter);
      sum = drawn(
        new Map([
          ['torque_Nm', torque],
          ['angle_deg', angle],
          ['emg_mV', emg],
          ['trigger_V', trigger],
          ['velocity_degps', velocity],
          ['muscleTorque_Nm', muscle],
          ['torqueLive_Nm', live],
        ]),
      );
    },
    () => sum,
  );
};

/** The least that any block has to cost: its four raw columns copied. */
const memoryCopy: Variant = () => {
  const copies = Array.from({ length: 4 }, () => new Float64Array(BLOCK));
  return pooled(
    ({ columns }) => {
      for (let c = 0; c < 4; c += 1) copies[c].set(columns[c]);
    },
    () => copies[0][BLOCK - 1],
  );
};

/** Milliseconds, not nanoseconds a frame: `frames` is a million so that the quotient comes out so. */
const zeroPhaseHour: Variant = () => {
  const chance = seeded(2);
  const sections = butterworthLowPass({ order: 2, cutOff_Hz: 15, rate_Hz: RATE_HZ, passes: 2 });
  const channels = [300, 370].map((wave) =>
    Float64Array.from({ length: 3_600_000 }, (_, i) => 50 * Math.sin(i / wave) + chance()),
  );
  const out = new Float64Array(3_600_000);
  return () => {
    for (const channel of channels) zeroPhase(sections, channel, out);
    return { frames: 1e6, sum: out[1000] };
  };
};

export const VARIANTS = {
  pooledBlocks,
  pooledBlocksThroughRx,
  fusedLoop,
  frameObjectsThroughRx,
  frameReusedThroughRx,
  newArrays,
  memoryCopy,
  zeroPhaseHour,
} as const satisfies Readonly<Record<string, Variant>>;

export type VariantName = keyof typeof VARIANTS;
