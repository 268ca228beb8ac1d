/**
 * Stages: the live computation in steps, from raw channels to the columns people see. One file a stage,
 * run in the order of the list at the bottom. A stage looks at the past only and gives the same bits
 * however the stream is cut; it writes its own columns and never another's.
 */
import type { QuantityName } from '../block/block.ts';
import type { Gravity } from '../gravity/gravity.ts';
import type { LiveColumn } from '../wire/events.ts';
import type { Plan } from '../wiring/wire.ts';
import { calibrate } from './calibrate.ts';
import { gravity } from './gravity.ts';
import { lowPass } from './low-pass.ts';
import { velocity } from './velocity.ts';

/** What the eye needs; no measure depends on it. */
export interface LiveChoices {
  /** Cut-off of the torque that is drawn: one causal pass of 20 Hz comes 11 ms late. */
  readonly torqueCutOff_Hz: number;
  /** Cut-off of the angle before its change is taken. */
  readonly angleCutOff_Hz: number;
  /** Order of both. */
  readonly order: number;
  /** What the limb's weight adds to the reading; `none` until it was weighed. */
  readonly gravity: Gravity;
}

export interface Stage {
  readonly id: string;
  /** One sentence for the README. */
  readonly about: string;
  /** Null when there is nothing for it to do, given the columns that are already there. */
  create(plan: Plan, choices: LiveChoices, present: ReadonlySet<QuantityName>): RunningStage | null;
}

export interface RunningStage {
  /** Columns it reads, by name; a number is a raw channel by its place. */
  readonly reads: readonly (QuantityName | number)[];
  readonly writes: readonly LiveColumn[];
  /** Fills the first `n` of every output from the inputs, both in the order declared. */
  run(inputs: readonly Float64Array[], outputs: readonly Float64Array[], n: number): void;
  /** Samples are missing before the next run: what is remembered is no longer the past. */
  restart(): void;
}

export const STAGES = [calibrate, velocity, gravity, lowPass] as const satisfies readonly Stage[];
