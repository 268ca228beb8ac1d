/**
 * What the subject's screen shows: the phase, one word, dots and a level without a unit. No number of
 * the measurement leaves here: a level is a share of the scale that the tester fixed.
 */
import type { JointPattern } from '../joints/pattern.ts';
import type { LaneEvent, Setup, SourceState } from '../wire/events.ts';
import type { Progress, Way } from './set-watch.ts';

export type Lane = Extract<LaneEvent, { type: 'lane' }>;

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
): Lane {
  const of = setup.repetitions;
  const done = Math.min(of, repetitionsOf(progress, setup));
  const phase = phaseOf(progress, done >= of, source);
  const way = phase === 'effort' ? wayToGo(progress, setup) : 0;
  return {
    type: 'lane',
    form: phase === 'wait' ? 'blank' : 'climb',
    phase,
    word: wordOf(phase, way, pattern),
    done,
    of,
    limb: limbOf(progress.angle_deg, setup),
    way,
  };
}

/** Share of the fixed scale in the direction to go, 0 to 1; null when there is nothing to show. */
export function levelOf(progress: Progress, setup: Setup, source: SourceState): number | null {
  if (!SHOWABLE.includes(source) || Number.isNaN(progress.torque_Nm)) return null;
  const way = wayToGo(progress, setup);
  const direction = way === 0 ? Math.sign(progress.torque_Nm) : way;
  const [least, most] = setup.torqueScale_Nm;
  const top = direction < 0 ? -least : most;
  return top > 0 ? clamp((direction * progress.torque_Nm) / top) : 0;
}

/** A repetition is one effort when isometric, else there and back. */
export function repetitionsOf({ nEnded }: Progress, { mode }: Setup): number {
  return mode === 'isometric' ? nEnded : Math.floor(nEnded / 2);
}

/** All repetitions are done and the limb has rested: whatever moves next is another set. */
export function isOver(progress: Progress, setup: Setup): boolean {
  return progress.quiet_s > SET_PAUSE_s && repetitionsOf(progress, setup) >= setup.repetitions;
}

function phaseOf(progress: Progress, isDone: boolean, source: SourceState): Lane['phase'] {
  if (!SHOWABLE.includes(source)) return 'wait';
  if (progress.way !== 0) return 'effort';
  if (isDone) return 'done';
  if (progress.nEnded === 0) return 'ready';
  return progress.quiet_s < TURN_s ? 'effort' : 'rest';
}

/** Between two phases it is the way that comes next: back, unless efforts repeat one direction. */
function wayToGo({ way, lastWay, quiet_s }: Progress, { mode }: Setup): Way {
  if (way !== 0) return way;
  if (lastWay === 0 || mode === 'isometric' || quiet_s >= TURN_s) return 0;
  return lastWay === 1 ? -1 : 1;
}

function wordOf(phase: Lane['phase'], way: Way, pattern: JointPattern | undefined): Lane['word'] {
  switch (phase) {
    case 'wait':
      return '';
    case 'ready':
      return 'READY';
    case 'rest':
      return 'REST';
    case 'done':
      return 'DONE';
    case 'effort':
      if (way === 1) return pattern?.risingCue ?? 'PUSH';
      return way === -1 ? (pattern?.fallingCue ?? 'PULL') : '';
  }
}

/** To a hundredth: finer steps would be a message a sample. */
function limbOf(angle_deg: number, { rangeLimits_deg: [least, most] }: Setup): number {
  if (Number.isNaN(angle_deg)) return 0;
  return Math.round(100 * clamp((angle_deg - least) / (most - least))) / 100;
}

function clamp(share: number): number {
  return Math.min(1, Math.max(0, share));
}
