/**
 * Movements of a signal: runs of one direction faster than the dead-band, their edges walked outward to
 * where rest begins, and fragments of one movement put together. Linear in the samples.
 */
import type { Recipe } from '../recipe/recipe.ts';
import type { Motion } from './motion.ts';
import { type Span, stretchAt } from './stretches.ts';

export interface Movement extends Span {
  /** 1 toward rising angle, -1 toward falling. */
  readonly sign: 1 | -1;
  /** It stood still on the way and went on. */
  readonly isInterrupted: boolean;
  /** The signal begins or ends while it is going on. */
  readonly isCut: boolean;
}

export interface Bands {
  /** Slower than this is no movement. */
  readonly deadBand_degps: number;
  /** Slower than this is rest. */
  readonly edge_degps: number;
  /** Robust SD of velocity at rest; NaN where there is no rest. */
  readonly noise_degps: number;
}

/** A hole up to this long may lie inside one movement, when the angle goes on where it should. */
const LONGEST_BRIDGED_S = 0.5;
/** Parts of less than this share of the largest travel are neither movements nor interruptions. */
const SHRED_SHARE = 0.1;

/**
 * Dead-band min(max(5 deg/s, 10 % of speed), 30 % of speed); for a passive movement or an unknown speed
 * 4 robust SDs of resting velocity, at least 0.5 deg/s. The edge is those 4 SDs, at most half of it.
 * `speed_degps` null: unknown. Source: the program's contract; numbers from the recipe.
 */
export function bandsOf(
  restNoise_degps: number,
  speed_degps: number | null,
  { movement }: Recipe,
): Bands {
  const noise = movement.restNoise_factor * restNoise_degps;
  const share = (pct: number) => (pct / 100) * (speed_degps ?? 0);
  const deadBand_degps =
    speed_degps === null
      ? Math.max(movement.restFloor_degps, Number.isFinite(noise) ? noise : 0)
      : Math.min(
          Math.max(movement.deadBand_degps, share(movement.deadBandShare_pct)),
          share(movement.deadBandMost_pct),
        );
  const half = deadBand_degps / 2;
  return {
    deadBand_degps,
    edge_degps: noise < half ? noise : half,
    noise_degps: restNoise_degps,
  };
}

/** All movements in order, those too short or too small to be one left out. */
export function movementsOf(motion: Motion, bands: Bands, { movement }: Recipe): Movement[] {
  const fast = fastRuns(motion, bands.deadBand_degps);
  const walked = walkedOutward(motion, fast, bands.edge_degps);
  const joinPause_s = movement.joinPause_ms / 1000;
  const joined = join(motion, walked, { most_s: joinPause_s, joinPause_s });
  const largest_deg = supportedTravel(motion, joined);
  const large = joined.filter((run) => travelOf(motion, run) >= SHRED_SHARE * largest_deg);
  const bridged = bridgeHoles(motion, large);
  const whole = join(motion, bridged, { most_s: movement.setPause_s, joinPause_s });
  const least_deg = Math.max(
    movement.leastTravel_deg,
    (movement.leastTravel_pct / 100) * supportedTravel(motion, whole),
  );
  return whole.filter(
    (run) =>
      travelOf(motion, run) >= least_deg &&
      durationOf(motion, run) >= movement.leastDuration_ms / 1000,
  );
}

/** Angle from the first sample to the last that is there; degrees, not negative. */
export function travelOf({ angle_deg }: Pick<Motion, 'angle_deg'>, { first, end }: Span): number {
  let a = first;
  let b = end - 1;
  while (a < b && Number.isNaN(angle_deg[a])) a += 1;
  while (b > a && Number.isNaN(angle_deg[b])) b -= 1;
  return Math.abs(angle_deg[b] - angle_deg[a]) || 0;
}

/** This many movements of one travel outweigh a single longer one: a move into position. */
const OUTWEIGHING = 3;
const ALIKE = 0.9;

/**
 * The range of a set: the largest travel; one that no second movement comes within 10 % of gives way to
 * the largest that three share.
 */
export function supportedTravel(motion: Pick<Motion, 'angle_deg'>, spans: readonly Span[]): number {
  const travels = spans.map((span) => travelOf(motion, span)).sort((a, b) => b - a);
  const [largest = 0, second = 0] = travels;
  if (second >= ALIKE * largest) return largest;
  const shared = travels.find((travel, i) => travels[i + OUTWEIGHING - 1] >= ALIKE * travel);
  return shared ?? largest;
}

function durationOf({ time_s }: Motion, { first, end }: Span): number {
  return time_s[end - 1] - time_s[first];
}

/** Runs of one sign beyond the dead-band; a missing sample or a hole in time ends one. */
function fastRuns({ velocity_degps, stretches }: Motion, deadBand: number): Movement[] {
  const runs: Movement[] = [];
  for (const { first: start, end: stop } of stretches) {
    let sign = 0;
    let first = start;
    for (let i = start; i <= stop; i += 1) {
      const velocity = i < stop ? velocity_degps[i] : 0;
      const now = velocity > deadBand ? 1 : velocity < -deadBand ? -1 : 0;
      if (now === sign) continue;
      if (sign !== 0) runs.push(bare(first, i, sign === 1 ? 1 : -1));
      sign = now;
      first = i;
    }
  }
  return runs;
}

function bare(first: number, end: number, sign: 1 | -1): Movement {
  return { first, end, sign, isInterrupted: false, isCut: false };
}

/** Each run as far as speed stays above the edge; runs of one direction that meet are one. */
function walkedOutward(motion: Motion, runs: readonly Movement[], edge: number): Movement[] {
  const { velocity_degps, stretches } = motion;
  const n = velocity_degps.length;
  const walked: Movement[] = [];
  let k = 0;
  for (const run of runs) {
    const previous = walked.at(-1);
    if (previous && run.end <= previous.end) continue;
    while (stretches[k].end <= run.first) k += 1;
    const { first: start, end: stop } = stretches[k];
    const floor = Math.max(start, previous ? previous.end : 0);
    let { first, end } = run;
    while (first > floor && run.sign * velocity_degps[first - 1] > edge) first -= 1;
    while (end < stop && run.sign * velocity_degps[end] > edge) end += 1;
    if (previous?.sign === run.sign && first === previous.end && first > start) {
      walked[walked.length - 1] = { ...previous, end, isCut: previous.isCut || end === n };
    } else {
      walked.push({ ...run, first, end, isCut: first === 0 || end === n });
    }
  }
  return walked;
}

interface Pauses {
  /** Neighbours further apart stay two. */
  readonly most_s: number;
  /** A longer pause than this interrupts. */
  readonly joinPause_s: number;
}

/** Neighbours of one direction within a pause of each other are one movement. */
function join(motion: Motion, runs: readonly Movement[], pauses: Pauses): Movement[] {
  const joined: Movement[] = [];
  for (const run of runs) {
    const previous = joined.at(-1);
    if (previous?.sign === run.sign && inOneStretch(motion, previous.end - 1, run.first)) {
      const pause_s = motion.time_s[run.first] - motion.time_s[previous.end - 1];
      if (pause_s <= pauses.most_s) {
        joined[joined.length - 1] = united(previous, run, pause_s > pauses.joinPause_s);
        continue;
      }
    }
    joined.push(run);
  }
  return joined;
}

function united(a: Movement, b: Movement, isInterruption: boolean): Movement {
  return {
    first: a.first,
    end: b.end,
    sign: a.sign,
    isInterrupted: a.isInterrupted || b.isInterrupted || isInterruption,
    isCut: a.isCut || b.isCut,
  };
}

function inOneStretch({ stretches }: Motion, a: number, b: number): boolean {
  return stretchAt(stretches, a) === stretchAt(stretches, b);
}

/** A movement that a hole cuts in two is one when the angle beyond is where its speed leads. */
function bridgeHoles(motion: Motion, runs: readonly Movement[]): Movement[] {
  const bridged: Movement[] = [];
  for (const run of runs) {
    const previous = bridged.at(-1);
    if (previous && goesOnBeyondHole(motion, previous, run)) {
      bridged[bridged.length - 1] = united(previous, run, false);
    } else bridged.push(run);
  }
  return bridged;
}

function goesOnBeyondHole(motion: Motion, before: Movement, after: Movement): boolean {
  const { time_s, angle_deg, velocity_degps } = motion;
  const [a, b] = [before.end - 1, after.first];
  const hole_s = time_s[b] - time_s[a];
  if (before.sign !== after.sign || hole_s > LONGEST_BRIDGED_S) return false;
  if (!isHole(motion, a, b)) return false;
  const went_deg = before.sign * (angle_deg[b] - angle_deg[a]);
  const led_deg = (before.sign * (velocity_degps[a] + velocity_degps[b]) * hole_s) / 2;
  return went_deg > led_deg / 2 && went_deg < led_deg * 2;
}

/** Nothing but missing samples between the two. */
function isHole(motion: Motion, a: number, b: number): boolean {
  if (!inOneStretch(motion, a, b)) return true;
  for (let i = a + 1; i < b; i += 1) if (!Number.isNaN(motion.velocity_degps[i])) return false;
  return b > a + 1;
}
