/**
 * A weighing while it is done: sweeps or holds as they come in, which were refused and why, and the fit so
 * far. The same object serves the daemon live and a test offline; it stores nothing.
 */
import type { Block } from '../block/block.ts';
import { type Hold, readHold } from '../gravity/curve.ts';
import { type Expectation, judgeWeight, type Verdict } from '../gravity/plausibility.ts';
import { type Bins, binsOf } from './passive-bins.ts';
import { createSweepWatch, type Sweep, type SweepEnd } from './sweep-watch.ts';
import { findTension, type Tension, TENSION_LIMIT_NM } from './tension.ts';
import { fitHolds, fitSweeps, type WeighingFit } from './weighing-fit.ts';

export type WeighingMethod = 'sweep' | 'hold';

export interface WeighingOptions {
  readonly method: WeighingMethod;
  /** Limits of the range of motion: what a sweep is to cover. */
  readonly range_deg: readonly [number, number];
  /** One-way sweeps that are aimed at. */
  readonly nWanted: number;
  /** Of the subject; null when it is not known. */
  readonly bodyMass_kg: number | null;
  /** What body segments let expect; null without a body mass. */
  readonly expected: Expectation | null;
  /** Angle at which the limb lies horizontal, for a single hold. */
  readonly horizontalAt_deg: number | null;
}

/** A sweep as people see it: binned, with its fate. */
export interface SweepView extends Bins {
  /** From 1; a repeated sweep has a number of its own. */
  readonly number: number;
  readonly way: 1 | -1;
  readonly tension: Tension | null;
}

export interface WeighingView {
  readonly method: WeighingMethod;
  readonly nWanted: number;
  readonly sweeps: readonly SweepView[];
  readonly nAccepted: number;
  /** The movement under way, 0 at rest. */
  readonly way: -1 | 0 | 1;
  /** The last movement that was no sweep; null after one that was. */
  readonly missed: Exclude<SweepEnd, { kind: 'sweep' }> | null;
  readonly holds: readonly Hold[];
  /** Seconds of the hold that is being read; null when none is. */
  readonly holding_s: number | null;
  /** Why the last hold was not taken; empty when it was. */
  readonly holdProblem: string;
  readonly fit: WeighingFit | null;
  readonly verdict: Verdict | 'unknown';
  readonly bodyMass_kg: number | null;
  readonly expected: Expectation | null;
  /** What stands in the way of using it. */
  readonly blocked: Blocked | null;
}

/** `oneWay`: sweep the other way too. `residual`: it does not describe the readings. */
export type Blocked = 'nothing' | 'oneWay' | 'residual' | 'apart' | 'hold';

export interface WeighingRun {
  readonly view: WeighingView;
  push(block: Block): void;
  /** Reads a hold from now on. */
  hold(): void;
  /** Forgets one sweep or hold, by its number from 1, so that it can be done again. */
  drop(number: number): void;
}

export const RESIDUAL_LIMIT_NM = TENSION_LIMIT_NM;
/** Friction and hysteresis of a relaxed limb on a slow lever; beyond it something else pulls. Chosen here. */
export const APART_LIMIT_NM = 3;
/** Seconds of a static hold: 2-5 s (domain practice). */
export const HOLD_S = 3;
/** More movements than this are no weighing. */
const MOST_SWEEPS = 24;
/** Below this the plausible weight of a limb is in the noise of a torque sensor. */
const NEAR_ZERO_NM = 0.5;

interface Kept extends SweepView {
  readonly sweep: Sweep;
}

export function createWeighingRun(options: WeighingOptions): WeighingRun {
  const watch = createSweepWatch(options.range_deg);
  let sweeps: readonly Kept[] = [];
  let nMade = 0;
  let missed: WeighingView['missed'] = null;
  let holds: readonly Hold[] = [];
  let holdProblem = '';
  let holding: { angle: number[]; torque: number[]; rate_Hz: number } | null = null;
  let outcome: Outcome = outcomeOf([], [], options);

  const settle = (): void => {
    outcome = outcomeOf(sweeps.filter(isAccepted), holds, options);
    if (holds.length > 0 && holdProblem === '') {
      const read = fitHolds(holds, options.horizontalAt_deg);
      holdProblem = 'problem' in read ? read.problem : '';
    }
  };
  const end = (ended: SweepEnd): void => {
    missed = ended.kind === 'sweep' ? null : ended;
    if (ended.kind !== 'sweep' || sweeps.length >= MOST_SWEEPS) return;
    const { sweep } = ended;
    const bins = binsOf(sweep);
    const before = sweeps.filter((kept) => isAccepted(kept) && kept.way === sweep.way);
    nMade += 1;
    const tension = findTension(bins, sweep.way, before);
    sweeps = [...sweeps, { number: nMade, way: sweep.way, sweep, ...bins, tension }];
    settle();
  };
  const collect = ({ n, rate_Hz, columns }: Block): void => {
    if (!holding) return;
    const angles = columns.get('angle_deg');
    const torques = columns.get('torque_Nm');
    for (let i = 0; angles && torques && i < n; i += 1) {
      holding.angle.push(angles[i] ?? Number.NaN);
      holding.torque.push(torques[i] ?? Number.NaN);
    }
    holding.rate_Hz = rate_Hz;
    if (holding.angle.length < HOLD_S * rate_Hz) return;
    const read = readHold(holding.angle, holding.torque);
    holding = null;
    holdProblem = 'problem' in read ? read.problem : '';
    if ('hold' in read) holds = [...holds, read.hold];
    settle();
  };

  return {
    get view() {
      return {
        method: options.method,
        nWanted: options.nWanted,
        sweeps: sweeps.map(viewOf),
        nAccepted: sweeps.filter(isAccepted).length,
        way: wayOf(watch.current),
        missed,
        holds,
        holding_s: holding ? holding.angle.length / Math.max(1, holding.rate_Hz) : null,
        holdProblem,
        bodyMass_kg: options.bodyMass_kg,
        expected: options.expected,
        ...outcome,
      };
    },
    push(block) {
      if (options.method === 'sweep') for (const ended of watch.push(block)) end(ended);
      else collect(block);
    },
    hold() {
      holdProblem = '';
      holding ??= { angle: [], torque: [], rate_Hz: 0 };
    },
    drop(number) {
      sweeps = sweeps.filter((kept) => kept.number !== number);
      if (options.method === 'hold') holds = holds.filter((_, k) => k + 1 !== number);
      settle();
    },
  };
}

function viewOf({ number, way, angle_deg, torque_Nm, tension }: Kept): SweepView {
  return { number, way, angle_deg, torque_Nm, tension };
}

function wayOf(sweep: Sweep | null): -1 | 0 | 1 {
  return sweep === null ? 0 : sweep.way;
}

function isAccepted({ tension }: SweepView): boolean {
  return tension === null;
}

type Outcome = Pick<WeighingView, 'fit' | 'verdict' | 'blocked'>;

function outcomeOf(
  accepted: readonly Kept[],
  holds: readonly Hold[],
  { method, expected, horizontalAt_deg }: WeighingOptions,
): Outcome {
  if (method === 'hold') {
    const read = fitHolds(holds, horizontalAt_deg);
    const fit = 'fit' in read ? read.fit : null;
    return { fit, verdict: verdictOf(fit, expected), blocked: fit === null ? 'hold' : null };
  }
  const fit = fitSweeps(accepted.map(({ sweep }) => sweep));
  const blocked = fit === null ? 'nothing' : blockOf(fit);
  return { fit, verdict: verdictOf(fit, expected), blocked };
}

function blockOf({ apart_Nm, rmsResidual_Nm }: WeighingFit): Blocked | null {
  if (apart_Nm === null) return 'oneWay';
  if (rmsResidual_Nm > RESIDUAL_LIMIT_NM) return 'residual';
  return Math.abs(apart_Nm) > APART_LIMIT_NM ? 'apart' : null;
}

/** By the amplitude where the range tells it, else by the largest torque within the range. */
function verdictOf(fit: WeighingFit | null, expected: Expectation | null): Verdict | 'unknown' {
  if (fit === null) return 'unknown';
  if (Math.max(fit.most_Nm, Math.abs(fit.amplitude_Nm ?? 0)) < NEAR_ZERO_NM) return 'nothing';
  if (expected === null) return 'unknown';
  return judgeWeight(fit.amplitude_Nm ?? fit.most_Nm, expected);
}
