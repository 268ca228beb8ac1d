/**
 * The polarity check: the limb is moved one way, then pushes that way, and both channels must follow. What
 * goes wrong is named in words: swapped, turned, wrong side, held tare, dead. It changes no channel.
 */
import type { Block } from '../block/block.ts';
import type { JointPattern } from '../joints/pattern.ts';
import type { PolarityFinding, PolarityRecord } from './documents.ts';

export type PolarityStage = 'rest' | 'move' | 'push' | 'done';

export interface PolarityView {
  readonly stage: PolarityStage;
  /** Seconds until the stage ends by itself; 0 when done. */
  readonly left_s: number;
  /** Largest change of each channel since rest, in this stage. */
  readonly moved_deg: number;
  readonly pushed_Nm: number;
  /** Null until done. */
  readonly result: PolarityResult | null;
}

export type PolarityResult = Pick<
  PolarityRecord,
  'passed' | 'findings' | 'moved_deg' | 'pushed_Nm' | 'rest_Nm'
>;

export interface PolarityRun {
  readonly view: PolarityView;
  push(block: Block): void;
}

export interface PolarityOptions {
  readonly pattern: JointPattern;
  readonly side: 'left' | 'right';
  /** What limb and attachment may weigh at most, N·m: a resting torque beyond it is no weight. */
  readonly mostWeight_Nm: number;
}

/** Means over this time are looked at: a jolt of the lever is no push. */
const MEAN_S = 0.05;
/** Quiet before anything: also what a held tare shows in. */
const REST_S = 1;
/** Each task ends when it was done, at the latest after this: a tester at the machine is not rushed. */
const LONGEST_S = 10;
/** Once enough was seen, this long until the largest value is taken; longer when the other channel did. */
const SETTLE_S = 0.5;
const SETTLE_OTHER_S = 1.5;
/** Enough to tell a movement, and a gentle push, from rest. Chosen here. */
const MOVED_DEG = 6;
const PUSHED_NM = 4;
/** A channel that does not go beyond this in the whole check did not react. */
const DEAD_DEG = 0.5;
const DEAD_NM = 0.5;

interface Extreme {
  angle: number;
  torque: number;
}

export function createPolarityRun(options: PolarityOptions): PolarityRun {
  let stage: PolarityStage = 'rest';
  let elapsed_s = 0;
  let seen_s = 0;
  const rest = { n: 0, angle: 0, torque: 0 };
  let base: Extreme = { angle: 0, torque: 0 };
  let now: Extreme = { angle: 0, torque: 0 };
  let moved: Extreme = { angle: 0, torque: 0 };
  let result: PolarityResult | null = null;
  let mean = { n: 0, angle: 0, torque: 0 };

  const advance = (next: PolarityStage): void => {
    stage = next;
    elapsed_s = 0;
    seen_s = 0;
    now = { angle: 0, torque: 0 };
  };
  /** How long it must have been seen: the channel that must react, or else the other one. */
  const settle_s = (): number => {
    const hasMoved = Math.abs(now.angle) >= MOVED_DEG;
    const hasPushed = Math.abs(now.torque) >= PUSHED_NM;
    if (stage === 'move' ? hasMoved : hasPushed) return SETTLE_S;
    return (stage === 'move' ? hasPushed : hasMoved) ? SETTLE_OTHER_S : Infinity;
  };
  const endStage = (last: Extreme): void => {
    if (stage === 'move') {
      moved = now;
      // The limb stays where it was moved to: the push is measured from here.
      base = last;
      advance('push');
      return;
    }
    const torqueAtRest = rest.torque / Math.max(1, rest.n);
    result = judge({ moved, pushed: now, rest_Nm: torqueAtRest }, options);
    advance('done');
  };
  const sample = (angle: number, torque: number, step_s: number): void => {
    elapsed_s += step_s;
    if (stage === 'rest') {
      rest.n += 1;
      rest.angle += angle;
      rest.torque += torque;
      if (elapsed_s < REST_S) return;
      base = { angle: rest.angle / rest.n, torque: rest.torque / rest.n };
      advance('move');
      return;
    }
    now.angle = larger(now.angle, angle - base.angle);
    now.torque = larger(now.torque, torque - base.torque);
    const wanted_s = settle_s();
    if (wanted_s < Infinity) seen_s += step_s;
    if (seen_s >= wanted_s || elapsed_s >= LONGEST_S) endStage({ angle, torque });
  };

  return {
    get view() {
      const pushed_Nm = stage === 'push' ? now.torque : 0;
      const moved_deg = stage === 'move' ? now.angle : moved.angle;
      const whole_s = stage === 'rest' ? REST_S : LONGEST_S;
      const left_s = stage === 'done' ? 0 : Math.max(0, whole_s - elapsed_s);
      return { stage, left_s, moved_deg, pushed_Nm: result?.pushed_Nm ?? pushed_Nm, result };
    },
    push({ n, rate_Hz, columns }) {
      const angles = columns.get('angle_deg');
      const torques = columns.get('torque_Nm');
      for (let i = 0; angles && torques && i < n && stage !== 'done'; i += 1) {
        const angle = angles[i] ?? Number.NaN;
        const torque = torques[i] ?? Number.NaN;
        if (Number.isNaN(angle) || Number.isNaN(torque)) continue;
        mean.n += 1;
        mean.angle += angle;
        mean.torque += torque;
        if (mean.n < MEAN_S * rate_Hz) continue;
        sample(mean.angle / mean.n, mean.torque / mean.n, mean.n / rate_Hz);
        mean = { n: 0, angle: 0, torque: 0 };
      }
    },
  };
}

function larger(a: number, b: number): number {
  return Math.abs(b) > Math.abs(a) ? b : a;
}

interface Seen {
  readonly moved: Extreme;
  readonly pushed: Extreme;
  readonly rest_Nm: number;
}

function judge({ moved, pushed, rest_Nm }: Seen, options: PolarityOptions): PolarityResult {
  const findings = findingsOf({ moved, pushed, rest_Nm }, options);
  return {
    passed: findings.length === 0,
    findings,
    moved_deg: moved.angle,
    pushed_Nm: pushed.torque,
    rest_Nm,
  };
}

/** The limb was moved, and pushed, toward the pattern's falling direction: both must fall. */
function findingsOf(
  { moved, pushed, rest_Nm }: Seen,
  { pattern, side, mostWeight_Nm }: PolarityOptions,
): PolarityFinding[] {
  const { falling, rising } = pattern;
  const findings: PolarityFinding[] = [];
  const say = (kind: PolarityFinding['kind'], message: string) => findings.push({ kind, message });
  const angleMost = Math.max(Math.abs(moved.angle), Math.abs(pushed.angle));
  const torqueMost = Math.max(Math.abs(moved.torque), Math.abs(pushed.torque));
  const hasMoved = Math.abs(moved.angle) >= MOVED_DEG;
  const hasPushed = Math.abs(pushed.torque) >= PUSHED_NM;
  const isAngleTurned = hasMoved && moved.angle > 0;
  const isTorqueTurned = hasPushed && pushed.torque > 0;
  const isSwapped =
    !hasMoved &&
    !hasPushed &&
    Math.abs(moved.torque) >= PUSHED_NM &&
    Math.abs(pushed.angle) >= DEAD_DEG * 4;

  if (isSwapped) {
    say(
      'swapped',
      'While the limb moved, the torque channel changed; while it pushed, the angle channel did. Torque and angle are swapped: exchange the two plugs, or the two channels in the wiring.',
    );
    return findings;
  }
  if (isAngleTurned && isTorqueTurned) {
    say(
      'bothTurned',
      `Angle and torque both go toward ${rising} instead of ${falling}. Is the machine set up for the other side? The set-up says ${side}.`,
    );
  } else if (isAngleTurned) {
    say(
      'angleTurned',
      `The limb moved into ${falling} and the angle went toward ${rising}: the sign of the angle is turned.`,
    );
  } else if (isTorqueTurned) {
    say(
      'torqueTurned',
      `The limb pushed into ${falling} and the torque went toward ${rising}: the sign of the torque is turned.`,
    );
  }
  if (angleMost < DEAD_DEG) {
    say(
      'deadAngle',
      `The angle did not react: it changed by less than ${DEAD_DEG}° in both tasks.`,
    );
  } else if (!hasMoved) {
    say(
      'notMoved',
      `The limb moved ${Math.abs(moved.angle).toFixed(0)}°; ${MOVED_DEG}° are needed to tell the direction.`,
    );
  }
  if (torqueMost < DEAD_NM) {
    say(
      'deadTorque',
      `The torque did not react: it changed by less than ${DEAD_NM} N·m in both tasks.`,
    );
  } else if (!hasPushed) {
    say(
      'notPushed',
      `The push reached ${Math.abs(pushed.torque).toFixed(1)} N·m; ${PUSHED_NM} N·m are needed to tell the direction.`,
    );
  }
  if (Math.abs(rest_Nm) > mostWeight_Nm) {
    say(
      'heldTare',
      `At rest the torque reads ${Math.abs(rest_Nm).toFixed(1)} N·m; limb and attachment weigh ${mostWeight_Nm.toFixed(0)} N·m at most. Was zero taken while something pressed on the lever? Unload it and take zero again.`,
    );
  }
  return findings;
}
