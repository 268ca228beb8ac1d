/**
 * The same computation written in several ways: calibrate four channels, fourth-order low-pass of torque
 * and of angle, velocity, weight. Each gives a checksum so that all are seen to compute the same.
 */
import { map, Subject } from 'rxjs';
import type { StreamBlock, StreamFormat } from '../../../shared/block/block.ts';
import { butterworthLowPass } from '../../../shared/dsp/butterworth.ts';
import { zeroPhase } from '../../../shared/dsp/zero-phase.ts';
import { createPipeline, LIVE_CHOICES } from '../../../shared/pipeline.ts';
import { wire, type Plan } from '../../../shared/wiring/wire.ts';
import { parseWiring } from '../../../shared/wiring/wiring.ts';
import { seeded } from '../../support/random-stream.ts';

const RATE_HZ = 1000;
const BLOCK = 20;
const N_BLOCKS = 2000;
const FRAMES = BLOCK * N_BLOCKS;

export interface Pass {
  readonly frames: number;
  readonly sum: number;
}
type Variant = () => () => Pass;
export type VariantName =
  | 'pooledBlocks'
  | 'pooledBlocksThroughRx'
  | 'fusedLoop'
  | 'frameObjectsThroughRx'
  | 'frameReusedThroughRx'
  | 'newArrays'
  | 'memoryCopy'
  | 'zeroPhaseHour';

const format: StreamFormat = {
  rate_Hz: RATE_HZ,
  channels: [0, 1, 2, 3].map((k) => ({ name: `ai${k}`, unit: 'counts', type: 'int16' })),
  integrity: 'crc32',
  notes: {},
};
const choices = {
  ...LIVE_CHOICES,
  order: 4,
  gravity: { kind: 'sinusoid', amplitude_Nm: 12, horizontalAt_deg: -10, offset_Nm: 0.8 },
} as const;
const plan = planOf([
  { channel: 0, quantity: 'torque', unit: 'Nm', slope: 0.02, offset: -1.3 },
  { channel: 1, quantity: 'angle', unit: 'deg', slope: -0.01, offset: 90 },
  { channel: 2, quantity: 'emg', unit: 'mV', slope: 0.001 },
  { channel: 3, quantity: 'trigger', unit: 'V', slope: 0.0003 },
]);

function planOf(channels: object[]): Plan {
  const parsed = parseWiring({ version: 1, station: 'North', channels });
  const wired = 'wiring' in parsed ? wire(format, parsed.wiring) : parsed;
  if ('problems' in wired) throw new Error(wired.problems.join('\n'));
  return wired.plan;
}

function rawBlocks(): StreamBlock[] {
  const chance = seeded(1);
  return Array.from({ length: N_BLOCKS }, (_, b) => ({
    format,
    run: 0,
    first: b * BLOCK,
    index: b * BLOCK,
    n: BLOCK,
    arrival_ns: 0,
    columns: [3000, 4000, 800, 5].map((amplitude, c) =>
      Float64Array.from({ length: BLOCK }, (_unused, i) => {
        const t = b * BLOCK + i;
        return Math.round(amplitude * Math.sin(t / (300 + 70 * c)) + 20 * (chance() - 0.5));
      }),
    ),
  }));
}

/** Passes go on from one another: the stream's index keeps rising, the values repeat. */
function pooled(push: (block: StreamBlock) => void, sum: () => number): () => Pass {
  const blocks = rawBlocks().map((block) => ({ ...block }));
  return () => {
    for (const block of blocks) {
      push(block);
      block.index += FRAMES;
    }
    return { frames: FRAMES, sum: sum() };
  };
}

function drawn(columns: ReadonlyMap<string, Float64Array>): number {
  return (
    (columns.get('torqueLive_Nm')?.[BLOCK - 1] ?? NaN) +
    (columns.get('velocity_degps')?.[BLOCK - 1] ?? NaN)
  );
}

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

/** Per-frame code with its state in variables: what the stages would be without being stages. */
function frameFilter(cutOff_Hz: number): (v: number) => number {
  const sections = butterworthLowPass({ order: 4, cutOff_Hz, rate_Hz: RATE_HZ, passes: 1 });
  const state = sections.map((section) => ({ ...section, z1: NaN, z2: NaN }));
  return (v) => {
    let y = v;
    for (const s of state) {
      if (v - v !== 0) {
        s.z1 = NaN;
        continue;
      }
      if (s.z1 !== s.z1) {
        const gain = (s.b0 + s.b1 + s.b2) / (1 + s.a1 + s.a2);
        s.z1 = (gain - s.b0) * y;
        s.z2 = (s.b2 - s.a2 * gain) * y;
      }
      const out = s.b0 * y + s.z1;
      s.z1 = s.b1 * y - s.a1 * out + s.z2;
      s.z2 = s.b2 * y - s.a2 * out;
      y = out;
    }
    return v - v === 0 ? y : NaN;
  };
}

const scales = plan.columns.map(({ slope, offset }) => ({ slope, offset }));
const weightAt = (angle_deg: number): number =>
  0.8 - 12 * Math.cos(((angle_deg + 10) * Math.PI) / 180);

/** One loop over a block's frames, everything in local variables, written by hand for this plan. */
const fusedLoop: Variant = () => {
  const torqueSections = butterworthLowPass({
    order: 4,
    cutOff_Hz: 20,
    rate_Hz: RATE_HZ,
    passes: 1,
  });
  const angleSections = butterworthLowPass({
    order: 4,
    cutOff_Hz: 15,
    rate_Hz: RATE_HZ,
    passes: 1,
  });
  const [t1, t2] = torqueSections;
  const [p1, p2] = angleSections;
  const [s0, s1, s2, s3] = scales;
  const outputs = Array.from({ length: 7 }, () => new Float64Array(BLOCK));
  const [torque, angle, emg, trigger, velocity, muscle, live] = outputs;
  const memory = new Float64Array(9).fill(NaN);
  return pooled(
    ({ columns, n }) => {
      const r0 = columns[0];
      const r1 = columns[1];
      const r2 = columns[2];
      const r3 = columns[3];
      let a1 = memory[0];
      let a2 = memory[1];
      let a3 = memory[2];
      let a4 = memory[3];
      let c1 = memory[4];
      let c2 = memory[5];
      let c3 = memory[6];
      let c4 = memory[7];
      let before = memory[8];
      for (let i = 0; i < n; i += 1) {
        const read = s0.slope * r0[i] + s0.offset;
        const at = s1.slope * r1[i] + s1.offset;
        torque[i] = read + (read - read);
        angle[i] = at + (at - at);
        emg[i] = s2.slope * r2[i] + s2.offset;
        trigger[i] = s3.slope * r3[i] + s3.offset;
        const effort = read - weightAt(at);
        muscle[i] = effort;
        if (a1 !== a1) [a1, a2, a3, a4] = steady(torqueSections, effort);
        const u = t1.b0 * effort + a1;
        a1 = t1.b1 * effort + a2 - t1.a1 * u;
        a2 = t1.b2 * effort - t1.a2 * u;
        const w = t2.b0 * u + a3;
        a3 = t2.b1 * u + a4 - t2.a1 * w;
        a4 = t2.b2 * u - t2.a2 * w;
        live[i] = w;
        if (c1 !== c1) [c1, c2, c3, c4] = steady(angleSections, at);
        const x = p1.b0 * at + c1;
        c1 = p1.b1 * at + c2 - p1.a1 * x;
        c2 = p1.b2 * at - p1.a2 * x;
        const y = p2.b0 * x + c3;
        c3 = p2.b1 * x + c4 - p2.a1 * y;
        c4 = p2.b2 * x - p2.a2 * y;
        velocity[i] = (y - before) * RATE_HZ;
        before = y;
      }
      memory[0] = a1;
      memory[1] = a2;
      memory[2] = a3;
      memory[3] = a4;
      memory[4] = c1;
      memory[5] = c2;
      memory[6] = c3;
      memory[7] = c4;
      memory[8] = before;
    },
    () => live[BLOCK - 1] + velocity[BLOCK - 1],
  );
};

function steady(sections: ReturnType<typeof butterworthLowPass>, value: number): number[] {
  let x = value;
  return sections.flatMap(({ b0, b1, b2, a1, a2 }) => {
    const gain = (b0 + b1 + b2) / (1 + a1 + a2);
    const states = [(gain - b0) * x, (b2 - a2 * gain) * x];
    x *= gain;
    return states;
  });
}

interface Frame {
  raw: number[];
  torque_Nm: number;
  angle_deg: number;
  emg_mV: number;
  trigger_V: number;
  velocity_degps: number;
  muscleTorque_Nm: number;
  torqueLive_Nm: number;
}

/** Every frame an event; `next` decides whether a stage makes a new object or fills the same one. */
function perFrame(next: (frame: Frame, changes: Partial<Frame>) => Frame): () => Pass {
  const frame$ = new Subject<Frame>();
  const [torqueFilter, angleFilter] = [frameFilter(20), frameFilter(15)];
  let before = NaN;
  let sum = 0;
  frame$
    .pipe(
      map((frame) => {
        const [torque_Nm, angle_deg, emg_mV, trigger_V] = frame.raw.map(
          (value, c) => scales[c].slope * value + scales[c].offset,
        );
        return next(frame, { torque_Nm, angle_deg, emg_mV, trigger_V });
      }),
      map((frame) => {
        const here = angleFilter(frame.angle_deg);
        const velocity_degps = (here - before) * RATE_HZ;
        before = here;
        return next(frame, { velocity_degps });
      }),
      map((frame) => next(frame, { muscleTorque_Nm: frame.torque_Nm - weightAt(frame.angle_deg) })),
      map((frame) => next(frame, { torqueLive_Nm: torqueFilter(frame.muscleTorque_Nm) })),
    )
    .subscribe((frame) => {
      sum = frame.torqueLive_Nm + frame.velocity_degps;
    });
  const empty: Frame = {
    raw: [],
    torque_Nm: NaN,
    angle_deg: NaN,
    emg_mV: NaN,
    trigger_V: NaN,
    velocity_degps: NaN,
    muscleTorque_Nm: NaN,
    torqueLive_Nm: NaN,
  };
  return pooled(
    ({ columns, n }) => {
      for (let i = 0; i < n; i += 1)
        frame$.next(next(empty, { raw: columns.map((column) => column[i]) }));
    },
    () => sum,
  );
}

const frameObjectsThroughRx: Variant = () =>
  perFrame((frame, changes) => ({ ...frame, ...changes }));

/** The best per-frame form: one frame for ever, fields written in place. */
const frameReusedThroughRx: Variant = () => {
  const frame: Frame = {
    raw: [0, 0, 0, 0],
    torque_Nm: NaN,
    angle_deg: NaN,
    emg_mV: NaN,
    trigger_V: NaN,
    velocity_degps: NaN,
    muscleTorque_Nm: NaN,
    torqueLive_Nm: NaN,
  };
  const frame$ = new Subject<Frame>();
  const [torqueFilter, angleFilter] = [frameFilter(20), frameFilter(15)];
  const [s0, s1, s2, s3] = scales;
  let before = NaN;
  let sum = 0;
  frame$
    .pipe(
      map((f) => {
        f.torque_Nm = s0.slope * f.raw[0] + s0.offset;
        f.angle_deg = s1.slope * f.raw[1] + s1.offset;
        f.emg_mV = s2.slope * f.raw[2] + s2.offset;
        f.trigger_V = s3.slope * f.raw[3] + s3.offset;
        return f;
      }),
      map((f) => {
        const here = angleFilter(f.angle_deg);
        f.velocity_degps = (here - before) * RATE_HZ;
        before = here;
        return f;
      }),
      map((f) => {
        f.muscleTorque_Nm = f.torque_Nm - weightAt(f.angle_deg);
        return f;
      }),
      map((f) => {
        f.torqueLive_Nm = torqueFilter(f.muscleTorque_Nm);
        return f;
      }),
    )
    .subscribe((f) => {
      sum = f.torqueLive_Nm + f.velocity_degps;
    });
  return pooled(
    ({ columns, n }) => {
      for (let i = 0; i < n; i += 1) {
        for (let c = 0; c < 4; c += 1) frame.raw[c] = columns[c][i];
        frame$.next(frame);
      }
    },
    () => sum,
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

export const VARIANTS: Readonly<Record<VariantName, Variant>> = {
  pooledBlocks,
  pooledBlocksThroughRx,
  fusedLoop,
  frameObjectsThroughRx,
  frameReusedThroughRx,
  newArrays,
  memoryCopy,
  zeroPhaseHour,
};
