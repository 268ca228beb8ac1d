/** A run as pages and scripts see it: what the machine of `run.ts` holds, and what was made of the data. */
import type { Agreement } from './agreement.ts';
import type { Plan, PlannedSet } from './plan.ts';
import type { Mismatch } from './recognise.ts';
import type { Outcome, RunTrouble, Stage } from './run.ts';
import type { Screen } from './screen.ts';

export interface RunView {
  readonly stage: Stage;
  readonly plan: Plan | null;
  /** The planned set that is run or comes next, from 0. */
  readonly set: number;
  /** Of the set under way; empty otherwise. */
  readonly recording: string;
  /** Of the countdown or the rest; null in other stages. */
  readonly remaining_s: number | null;
  readonly isPaused: boolean;
  /** Ended since the set began, counted live. */
  readonly repetitions: number;
  readonly outcomes: readonly Outcome[];
  readonly trouble: RunTrouble;
  readonly detail: string;
  /** What the lever showed, where it is not what the set states. */
  readonly mismatch: Mismatch | null;
  /** Of the set under way, or of the newest one. */
  readonly agreements: readonly Agreement[];
  /** Decisions of this run that can be taken back. */
  readonly nUndo: number;
  readonly screen: Screen;
}

/** The planned set that is run or comes next. */
export function plannedSet({ plan, set }: Pick<RunView, 'plan' | 'set'>): PlannedSet | null {
  return plan?.sets[set] ?? null;
}
