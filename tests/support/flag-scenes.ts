/** Signals and findings made so that exactly one thing is worth a flag. */
import type { Conditions, Phase, SetRow, Signal } from '../../shared/analysis-types.ts';
import type { Block, QuantityName } from '../../shared/block/block.ts';
import type { AnalysisFindings, PhaseFinding } from '../../shared/flags/findings.ts';
import type { Flag } from '../../shared/flags/flag.ts';
import type { LiveContext } from '../../shared/flags/index.ts';
import { watchLive } from '../../shared/flags/live.ts';
import { finalForms } from '../../shared/flags/offline.ts';
import { FLAG_THRESHOLDS } from '../../shared/flags/thresholds.ts';

export const RATE_HZ = 1000;

export const CONTEXT: LiveContext = {
  rate_Hz: RATE_HZ,
  mode: 'isokinetic',
  rising: 'flexion',
  falling: 'extension',
  range_deg: null,
  torqueLimit_Nm: null,
  referenceTorque_Nm: null,
  converterEnds: new Map(),
  measuredRate_Hz: () => null,
  thresholds: FLAG_THRESHOLDS,
};

/** Never twice the same, within a tenth: what a resting channel reads. */
export function murmur(i: number): number {
  return 0.05 * Math.sin(12.9898 * i) + 0.04 * Math.sin(78.233 * i + 1);
}

export interface Stream {
  readonly n: number;
  readonly torque?: (i: number) => number;
  readonly angle?: (i: number) => number;
  readonly velocity?: (i: number) => number;
  /** Samples [from, to) are missing from the stream. */
  readonly hole?: readonly [number, number];
}

/** Blocks of the given sizes in turn; the hole ends a block. */
export function blocksOf(stream: Stream, sizes: readonly number[] = [20]): Block[] {
  const [from, to] = stream.hole ?? [stream.n, stream.n];
  const blocks: Block[] = [];
  let turn = 0;
  for (let index = 0; index < stream.n;) {
    const stop = index < from ? from : stream.n;
    const n = Math.min(sizes[turn % sizes.length], stop - index);
    turn += 1;
    blocks.push(blockOf(stream, index, n, index === to && index > 0));
    index += n;
    if (index === from) index = to;
  }
  return blocks;
}

function blockOf(stream: Stream, index: number, n: number, afterGap: boolean): Block {
  const columns = new Map<QuantityName, Float64Array>();
  const column = (at: (i: number) => number) =>
    Float64Array.from({ length: n }, (_, k) => at(index + k));
  columns.set('torque_Nm', column(stream.torque ?? murmur));
  columns.set('angle_deg', column(stream.angle ?? murmur));
  if (stream.velocity) columns.set('velocity_degps', column(stream.velocity));
  return { rate_Hz: RATE_HZ, index, n, afterGap, columns };
}

/** All that the live flags say, in order, begin and end both. */
export function allTold(
  stream: Stream,
  context: Partial<LiveContext> = {},
  sizes: readonly number[] = [20],
): Flag[] {
  const watcher = watchLive({ ...CONTEXT, ...context });
  return [...blocksOf(stream, sizes).flatMap((block) => watcher.push(block)), ...watcher.end()];
}

/** The final form of each. */
export function told(stream: Stream, context: Partial<LiveContext> = {}): readonly Flag[] {
  return finalForms(allTold(stream, context));
}

export const PHASE: Phase = {
  repetition: 1,
  direction: 'extension',
  effort: 'extension',
  action: 'concentric',
  start_s: 1,
  end_s: 2.5,
  counts: true,
  reasons: [],
  rangeOfMotion_deg: 90,
  peakVelocity_degps: 61,
  peakTorque_Nm: 180,
  peakTorqueTime_s: 1.7,
  angleAtPeakTorque_deg: 60,
  timeToPeakTorque_s: 0.7,
  work_J: 190,
  meanPower_W: 127,
  peakPower_W: 180,
  impulse_Nms: 200,
  meanTorque_Nm: 121,
  loadRange: {
    start_s: 1.1,
    end_s: 2.4,
    range_deg: 80,
    peakTorque_Nm: 180,
    work_J: 180,
    meanPower_W: 130,
  },
  onset_s: null,
  rateOfTorqueDevelopment_Nmps: null,
};

export function phaseFinding(
  phase: Partial<Phase> = {},
  finding: Partial<PhaseFinding> = {},
): PhaseFinding {
  return {
    phase: { ...PHASE, ...phase },
    targetSpeed_degps: 60,
    stopImpact: null,
    rawPeakTorque_Nm: 182,
    ...finding,
  };
}

export function setRow(coefficientOfVariation_pct: number | null, repetitions = 5): SetRow {
  return {
    direction: 'extension',
    effort: 'extension',
    action: 'concentric',
    speed_degps: 60,
    repetitions,
    bestPeakTorque_Nm: 180,
    meanPeakTorque_Nm: 170,
    coefficientOfVariation_pct,
    totalWork_J: 900,
    workDecline_pct: null,
  };
}

export function signalOf(stream: Stream): Signal {
  const values = (at: ((i: number) => number) | undefined) =>
    Float64Array.from({ length: stream.n }, (_, i) => (at ?? murmur)(i));
  return {
    rate_Hz: RATE_HZ,
    time_s: Float64Array.from({ length: stream.n }, (_, i) => i / RATE_HZ),
    torque_Nm: values(stream.torque),
    angle_deg: values(stream.angle),
    velocity_degps: null,
    flags: [],
  };
}

export function findings(
  changed: Partial<AnalysisFindings> = {},
  conditions: Conditions = {},
): AnalysisFindings {
  return {
    signal: signalOf({ n: 3000 }),
    velocity_degps: null,
    conditions,
    pattern: undefined,
    phases: [],
    sets: [],
    weighing: null,
    thresholds: FLAG_THRESHOLDS,
    ...changed,
  };
}
