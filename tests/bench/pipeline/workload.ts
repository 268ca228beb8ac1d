/** What is computed in every variant: 40 s of four channels, the plan, and the parts they share. */
import type { StreamBlock, StreamFormat } from '../../../shared/block/block.ts';
import { butterworthLowPass } from '../../../shared/dsp/butterworth.ts';
import { LIVE_CHOICES } from '../../../shared/pipeline.ts';
import { wire, type Plan } from '../../../shared/wiring/wire.ts';
import { parseWiring } from '../../../shared/wiring/wiring.ts';
import { seeded } from '../../support/random-stream.ts';

export const RATE_HZ = 1000;
export const BLOCK = 20;
const N_BLOCKS = 2000;
const FRAMES = BLOCK * N_BLOCKS;

export interface Pass {
  readonly frames: number;
  readonly sum: number;
}
export type Variant = () => () => Pass;

const format: StreamFormat = {
  rate_Hz: RATE_HZ,
  channels: [0, 1, 2, 3].map((k) => ({ name: `ai${k}`, unit: 'counts', type: 'int16' })),
  integrity: 'crc32',
  notes: {},
};
export const choices = {
  ...LIVE_CHOICES,
  order: 4,
  gravity: { kind: 'sinusoid', amplitude_Nm: 12, horizontalAt_deg: -10, offset_Nm: 0.8 },
} as const;
export const plan = planOf([
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
export function pooled(push: (block: StreamBlock) => void, sum: () => number): () => Pass {
  const blocks = rawBlocks().map((block) => ({ ...block }));
  return () => {
    for (const block of blocks) {
      push(block);
      block.index += FRAMES;
    }
    return { frames: FRAMES, sum: sum() };
  };
}

export function drawn(columns: ReadonlyMap<string, Float64Array>): number {
  return (
    (columns.get('torqueLive_Nm')?.[BLOCK - 1] ?? NaN) +
    (columns.get('velocity_degps')?.[BLOCK - 1] ?? NaN)
  );
}

export const scales = plan.columns.map(({ slope, offset }) => ({ slope, offset }));
export const weightAt = (angle_deg: number): number =>
  0.8 - 12 * Math.cos(((angle_deg + 10) * Math.PI) / 180);

/** Per-frame code with its state in variables: what the stages would be without being stages. */
export function frameFilter(cutOff_Hz: number): (v: number) => number {
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
