/**
 * Where a set stands while it runs: which way the limb goes, how many phases ended, how long it rests.
 * Good enough to prompt a subject and to say when to analyse; the measures come from the analysis.
 */
import type { Block } from '../block/block.ts';
import type { Setup } from '../wire/events.ts';

export type Way = -1 | 0 | 1;

export interface Progress {
  /** Phases that ended (isometric: efforts) since the set began. */
  readonly nEnded: number;
  /** Of the phase under way: 1 toward rising angle (isometric: torque), -1 toward falling, 0 at rest. */
  readonly way: Way;
  /** Of the newest phase; 0 before the first. */
  readonly lastWay: Way;
  /** Seconds since the newest phase ended, or since the set began; 0 while one is under way. */
  readonly quiet_s: number;
  /** Newest values; NaN when they are missing. */
  readonly torque_Nm: number;
  readonly angle_deg: number;
}

export interface SetWatch {
  readonly progress: Progress;
  push(block: Block): Progress;
  /** A new set begins. */
  restart(): void;
}

/** A phase begins and ends when its sign holds this long: shorter is noise or a twitch. */
const HOLD_s = 0.08;
/** Share of the set speed above which the limb moves; common practice, no source. */
const DEAD_BAND = 0.2;
const LEAST_DEAD_BAND_degps = 1;
const MOST_DEAD_BAND_degps = 15;
/** Where no speed is set. */
const FREE_DEAD_BAND_degps = 8;
/** Isometric: share of the torque panel's span that is an effort. */
const EFFORT_SHARE = 0.08;

export function createSetWatch(setup: Setup): SetWatch {
  const threshold = thresholdOf(setup);
  const column = setup.mode === 'isometric' ? 'torque_Nm' : 'velocity_degps';
  let progress = START;
  let way: Way = 0;
  let lastWay: Way = 0;
  let nEnded = 0;
  let quiet_s = 0;
  /** The sign that differs from `way`, and how long it has been seen without a break. */
  let next: Way = 0;
  let held_s = 0;

  const step = (value: number, step_s: number): void => {
    const sign: Way = value > threshold ? 1 : value < -threshold ? -1 : 0;
    if (sign === way) held_s = 0;
    else {
      held_s = sign === next ? held_s + step_s : step_s;
      next = sign;
      if (held_s >= HOLD_s) change();
    }
    quiet_s = way === 0 ? quiet_s + step_s : 0;
  };
  const change = (): void => {
    if (way !== 0) nEnded += 1;
    way = next;
    if (way !== 0) lastWay = way;
    held_s = 0;
  };

  return {
    get progress() {
      return progress;
    },
    push(block) {
      const values = block.columns.get(column);
      const step_s = 1 / block.rate_Hz;
      for (let i = 0; values && i < block.n; i += 1) step(values[i] ?? NaN, step_s);
      const torque_Nm = newest(block, 'torque_Nm');
      const angle_deg = newest(block, 'angle_deg');
      progress = { nEnded, way, lastWay, quiet_s, torque_Nm, angle_deg };
      return progress;
    },
    restart() {
      progress = START;
      ({ nEnded, way, lastWay, quiet_s } = START);
      held_s = 0;
    },
  };
}

const START: Progress = {
  nEnded: 0,
  way: 0,
  lastWay: 0,
  quiet_s: 0,
  torque_Nm: NaN,
  angle_deg: NaN,
};

function thresholdOf({ mode, speed_degps, torqueScale_Nm: [least, most] }: Setup): number {
  if (mode === 'isometric') return EFFORT_SHARE * (most - least);
  if (mode === 'isotonic' || speed_degps === 0) return FREE_DEAD_BAND_degps;
  const share = DEAD_BAND * speed_degps;
  return Math.min(Math.max(share, LEAST_DEAD_BAND_degps), MOST_DEAD_BAND_degps);
}

function newest(block: Block, name: string): number {
  return block.columns.get(name)?.[block.n - 1] ?? NaN;
}
