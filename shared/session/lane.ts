/**
 * What the subject's screen shows: the phase, one word, dots and a level without a unit. No number of
 * the measurement leaves here: a level is a share of the scale that the tester fixed.
 */
import type { JointPattern } from '../joints/pattern.ts';
import type { LaneEvent, Setup, SourceState } from '../wire/events.ts';
import type { Stage } from './run.ts';
import {
  corridorOf,
  degreeOf,
  FIRST_SCREEN,
  leastFont_mm,
  levelOn,
  scaleOf,
  type Screen,
} from './screen.ts';
import type { Progress, Way } from './set-watch.ts';

export type Lane = Extract<LaneEvent, { type: 'lane' }>;

/** What of a run the subject's screen needs. */
export interface LaneRun {
  readonly stage: Stage;
  readonly isPaused: boolean;
  /** Of the countdown or rest, what is left and all of it; null in other stages. */
  readonly remaining_s: number | null;
  readonly whole_s: number;
  readonly repetitions: number;
  /** Null without a run: then the set-up's. */
  readonly of: number | null;
  readonly screen: Screen;
  /** The subject's own best of this run in each way; null while there is none. */
  readonly best_Nm: Readonly<Record<'rising' | 'falling', number | null>>;
  /** Seconds since the target began to move. */
  readonly at_s: number;
}

export const FREE_LANE: LaneRun = {
  ...{ stage: 'none', isPaused: false, remaining_s: null, whole_s: 0 },
  ...{ repetitions: 0, of: null, screen: FIRST_SCREEN, at_s: 0 },
  best_Nm: { rising: null, falling: null },
};

/** A pause this long is a rest; a shorter one is the turn between two directions. */
const TURN_s = 1.5;
/** DONE stays on the screen this long when nothing is recorded. */
const SET_PAUSE_s = 5;
/** Old data are worse than none on a screen that somebody pushes against. */
const SHOWABLE: readonly SourceState[] = ['live'];

export function laneOf(
  progress: Progress,
  setup: Setup,
  pattern: JointPattern | undefined,
  source: SourceState,
  run: LaneRun = FREE_LANE,
): Lane {
  const of = run.of ?? setup.repetitions;
  const counted = run.stage === 'none' ? repetitionsOf(progress, setup) : run.repetitions;
  const done = Math.min(of, counted);
  const phase = phaseOf(progress, done >= of, source, run);
  const way = wayIn(phase, progress, setup, run);
  const { screen, remaining_s } = run;
  const scale = scaleFor(progress, setup, run);
  const target = corridorOf(screen, scale);
  const isCorridor = target !== null;
  const best_Nm = screen.hasBestMark && way !== 0 ? run.best_Nm[nameOf(way)] : null;
  return {
    type: 'lane',
    form: screen.isBlank ? 'blank' : isCorridor ? 'corridor' : 'climb',
    phase,
    word: wordOf(phase, way, pattern, isCorridor),
    seconds: remaining_s === null || phase === 'wait' ? null : Math.ceil(remaining_s),
    passed: passedOf(run),
    done,
    of,
    limb: limbOf(progress.angle_deg, setup),
    way,
    best: best_Nm === null || isCorridor ? null : rounded(levelOn(scale, best_Nm)),
    target: target && { ...target, at_s: rounded(run.at_s) },
    isMirrored: screen.isMirrored,
    font: leastFont_mm(screen.distance_m) / screen.width_mm,
    degree: degreeOf(screen),
  };
}

/** Share of the fixed scale in the direction to go, 0 to 1; null when there is nothing to show. */
export function levelOf(
  progress: Progress,
  setup: Setup,
  source: SourceState,
  run: LaneRun = FREE_LANE,
): number | null {
  if (!SHOWABLE.includes(source) || Number.isNaN(progress.torque_Nm)) return null;
  const scale = scaleFor(progress, setup, run);
  return levelOn(scale, directionOf(progress, setup) * progress.torque_Nm);
}

/** A repetition is one effort when isometric, else there and back. */
export function repetitionsOf({ nEnded }: Progress, { mode }: Setup): number {
  return mode === 'isometric' ? nEnded : Math.floor(nEnded / 2);
}

/** All repetitions are done and the limb has rested: whatever moves next is another set. */
export function isOver(progress: Progress, setup: Setup): boolean {
  return progress.quiet_s > SET_PAUSE_s && repetitionsOf(progress, setup) >= setup.repetitions;
}

function phaseOf(
  progress: Progress,
  isDone: boolean,
  source: SourceState,
  { stage, isPaused }: LaneRun,
): Lane['phase'] {
  if (!SHOWABLE.includes(source)) return 'wait';
  switch (stage) {
    case 'none':
      return freePhase(progress, isDone);
    case 'ready':
    case 'countdown':
    case 'rest':
    case 'done':
      return stage;
    case 'opening':
      return 'ready';
    case 'closing':
      return 'done';
    case 'set':
      if (isPaused) return 'rest';
      return isDone && progress.way === 0 ? 'done' : 'effort';
  }
}

function freePhase(progress: Progress, isDone: boolean): Lane['phase'] {
  if (progress.way !== 0) return 'effort';
  if (isDone) return 'done';
  if (progress.nEnded === 0) return 'ready';
  return progress.quiet_s < TURN_s ? 'effort' : 'rest';
}

/** Before a set's first movement it is the way that the limb has room for. */
function wayIn(phase: Lane['phase'], progress: Progress, setup: Setup, { stage }: LaneRun): Way {
  const isNear = phase === 'ready' || phase === 'countdown';
  if (phase !== 'effort' && !isNear) return 0;
  const way = isNear ? 0 : wayToGo(progress, setup);
  if (way !== 0 || stage === 'none' || setup.mode === 'isometric') return way;
  if (!isNear && progress.lastWay !== 0) return progress.lastWay === 1 ? -1 : 1;
  return limbOf(progress.angle_deg, setup) > 0.5 ? -1 : 1;
}

/** Between two phases it is the way that comes next: back, unless efforts repeat one direction. */
function wayToGo({ way, lastWay, quiet_s }: Progress, { mode }: Setup): Way {
  if (way !== 0) return way;
  if (lastWay === 0 || mode === 'isometric' || quiet_s >= TURN_s) return 0;
  return lastWay === 1 ? -1 : 1;
}

function directionOf(progress: Progress, setup: Setup): number {
  const way = wayToGo(progress, setup);
  return way === 0 ? Math.sign(progress.torque_Nm) : way;
}

function scaleFor(progress: Progress, setup: Setup, { screen }: LaneRun) {
  const [least, most] = setup.torqueScale_Nm;
  return scaleOf(screen, directionOf(progress, setup) < 0 ? -least : most);
}

function nameOf(way: -1 | 1): 'rising' | 'falling' {
  return way === 1 ? 'rising' : 'falling';
}

function wordOf(
  phase: Lane['phase'],
  way: Way,
  pattern: JointPattern | undefined,
  isCorridor: boolean,
): Lane['word'] {
  switch (phase) {
    case 'wait':
      return '';
    case 'ready':
    case 'countdown':
      return 'READY';
    case 'rest':
      return 'REST';
    case 'done':
      return 'DONE';
    case 'effort':
      if (isCorridor) return 'FOLLOW';
      if (way === 1) return pattern?.risingCue ?? 'PUSH';
      return way === -1 ? (pattern?.fallingCue ?? 'PULL') : 'PUSH';
  }
}

/** To a hundredth: finer steps would be a message a sample. */
function limbOf(angle_deg: number, { rangeLimits_deg: [least, most] }: Setup): number {
  if (Number.isNaN(angle_deg)) return 0;
  return rounded(Math.min(1, Math.max(0, (angle_deg - least) / (most - least))));
}

function passedOf({ remaining_s, whole_s }: LaneRun): number {
  if (remaining_s === null || whole_s <= 0) return 0;
  return rounded(1 - Math.min(1, Math.ceil(remaining_s) / whole_s));
}

function rounded(value: number): number {
  return Math.round(100 * value) / 100;
}
