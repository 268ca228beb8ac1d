/**
 * All live flags over an hour of two columns in blocks of 20, beside one plain loop that only compares
 * (no state, no words) and beside the same flags without the common glance. Rounds in turn, ratios within.
 */
import type { Block, QuantityName } from '../../shared/block/block.ts';
import { type FlagWatcher, LIVE_FLAGS, type LiveContext } from '../../shared/flags/index.ts';
import { watchLive } from '../../shared/flags/live.ts';
import { FLAG_THRESHOLDS } from '../../shared/flags/thresholds.ts';
import { seeded } from '../support/random-stream.ts';

const RATE_HZ = 1000;
const BLOCK = 20;
const N = 1_000_000;
const ROUNDS = 9;

const CONTEXT: LiveContext = {
  rate_Hz: RATE_HZ,
  mode: 'isokinetic',
  rising: 'flexion',
  falling: 'extension',
  range_deg: [0, 90],
  torqueLimit_Nm: 300,
  referenceTorque_Nm: 180,
  converterEnds: new Map([
    ['torque_Nm', [-500, 500]],
    ['angle_deg', [-180, 180]],
  ]),
  measuredRate_Hz: () => RATE_HZ,
  thresholds: FLAG_THRESHOLDS,
};

const random = seeded(7);
const column = (at: (i: number) => number) => Float64Array.from({ length: N }, (_, i) => at(i));
const torque = column((i) => 100 * Math.sin(i / 700) + 0.4 * random());
const angle = column((i) => 45 + 42 * Math.sin(i / 900) + 0.02 * random());
const velocity = column((i) => (42 / 0.9) * Math.cos(i / 900));

/** One block's memory, as the pipeline lends it. */
const memory = new Map<QuantityName, Float64Array>([
  ['torque_Nm', new Float64Array(BLOCK)],
  ['angle_deg', new Float64Array(BLOCK)],
  ['velocity_degps', new Float64Array(BLOCK)],
]);
const block: { -readonly [K in keyof Block]: Block[K] } = {
  rate_Hz: RATE_HZ,
  index: 0,
  n: BLOCK,
  afterGap: false,
  columns: memory,
};

/** Nanoseconds a frame, the copying into the block's memory included. */
function pass(push: (lent: Block) => number): number {
  const sources = [torque, angle, velocity];
  const targets = [...memory.values()];
  const start = process.hrtime.bigint();
  let told = 0;
  for (let index = 0; index < N; index += BLOCK) {
    targets.forEach((target, k) => {
      target.set(sources[k].subarray(index, index + BLOCK));
    });
    block.index = index;
    told += push(block);
  }
  if (told < 0) throw new Error('never');
  return Number(process.hrtime.bigint() - start) / N;
}

/** What eight flags compare, in one loop: the least that any way of doing it must spend. */
function plainLoop(lent: Block): number {
  const values = lent.columns.get('torque_Nm') ?? torque;
  const angles = lent.columns.get('angle_deg') ?? angle;
  const velocities = lent.columns.get('velocity_degps') ?? velocity;
  let loud = 0;
  let before = values[0];
  let angleBefore = angles[0];
  for (let i = 0; i < lent.n; i += 1) {
    const [t, a] = [values[i], angles[i]];
    const ahead = a + 0.05 * velocities[i];
    if (!(t < 270 && t > -270 && t - before < 1 && t - before > -1)) loud += 1;
    if (!(a < 88 && a > 2 && a - angleBefore < 1 && a - angleBefore > -1)) loud += 1;
    if (ahead > 90 || ahead < 0) loud += 1;
    before = t;
    angleBefore = a;
  }
  return loud;
}

const watching = (watchers: readonly FlagWatcher[]) => (lent: Block) => {
  let told = 0;
  for (const watcher of watchers) told += watcher.push(lent).length;
  return told;
};

function median(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
}

const VARIANTS = {
  copy: () => pass(() => 0),
  plain: () => pass(plainLoop),
  together: () => pass(watching([watchLive(CONTEXT)])),
  apart: () => pass(watching(LIVE_FLAGS.map((flag) => watchLive(CONTEXT, [flag])))),
};

for (const variant of Object.values(VARIANTS)) variant();
const rounds = Array.from({ length: ROUNDS }, () => {
  const copy = VARIANTS.copy();
  return {
    plain: VARIANTS.plain() - copy,
    together: VARIANTS.together() - copy,
    apart: VARIANTS.apart() - copy,
  };
});
const value = Number(median(rounds.map((round) => round.together)).toPrecision(3));
for (const [figure, other, goal] of [
  ['live flags against one loop that only compares', 'plain', '<= 4'],
  ['live flags against each flag with a look of its own', 'apart', '< 1'],
] as const) {
  const beside = Number(median(rounds.map((round) => round[other])).toPrecision(3));
  const ratio = Number(median(rounds.map((r) => r.together / r[other])).toPrecision(3));
  const line = { bench: 'flags', figure, ratio, goal, unit: 'ns/frame', value, beside };
  process.stdout.write(`${JSON.stringify(line)}\n`);
}
