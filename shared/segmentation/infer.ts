/**
 * What nobody stated: the mode of a test and its speeds, worked out from the angle and torque alone.
 * What comes out is named in the document's `inferred`, never passed off as stated.
 */
import type { Mode, Signal } from '../analysis-types.ts';
import { changedRecipe, type Recipe } from '../recipe/recipe.ts';
import { DEFAULT_RECIPE } from '../recipe/presets.ts';
import { drivenSpeed } from './load-range.ts';
import { type Motion, motionOf } from './motion.ts';
import { bandsOf, type Movement, movementsOf } from './movements.ts';
import { fastest_degps, restNoise_degps } from './rest.ts';

/** Less of the angle than this and nothing moved. */
const STILL_DEG = 3;
/** Slower than this and a motor moved a relaxed limb: tests of strength begin at 10 deg/s. */
const PASSIVE_DEGPS = 8;
/** Smoothing that leaves only where a slow sweep goes, Hz. */
const SLOW_HZ = 2;
/** With less of a movement at one speed than this, no motor held it. A free swing has 24 %. */
const CONSTANT_SHARE = 0.35;
/** ...and torque within this share of its mean over the middle half: a constant load. */
const CONSTANT_LOAD = 0.15;
/** Share of the fastest speed below which nothing is called a movement when looking for rest. */
const REST_SHARE = 0.1;

/** The mode that a signal looks like. */
export function inferMode(signal: Signal): Mode {
  const slow = motionOf(signal, withCutOff(SLOW_HZ));
  if (slow === null || range(slow.angle_deg) < STILL_DEG) return 'isometric';
  if (typicalSpeed(slow) < PASSIVE_DEGPS) return 'passive';
  const motion = motionOf(signal, DEFAULT_RECIPE);
  if (motion === null) return 'isometric';
  const movements = movementsOf(motion, bandsFor(motion, null, DEFAULT_RECIPE), DEFAULT_RECIPE);
  const shares = movements.map((movement) => drivenSpeed(motion, movement).heldShare);
  if (middle(shares) >= CONSTANT_SHARE) return 'isokinetic';
  const spreads = movements.map((movement) => loadSpread(signal.torque_Nm, movement));
  return middle(spreads) < CONSTANT_LOAD ? 'isotonic' : 'isokinetic';
}

/** Rest noise is looked for below a tenth of the fastest speed, so that a slow sweep is not rest. */
export function bandsFor(motion: Motion, speed_degps: number | null, recipe: Recipe) {
  const slow = speed_degps ?? REST_SHARE * fastest_degps(motion.velocity_degps);
  const noise = restNoise_degps(motion, Math.min(recipe.movement.deadBand_degps, slow));
  return bandsOf(noise, speed_degps, recipe);
}

/**
 * The speed of each movement as a machine would have been set: movements alike in speed share the
 * rounded median; those that never held one speed take that of their nearest neighbour.
 */
export function inferSpeeds(
  motion: Motion,
  movements: readonly Movement[],
  { counting }: Recipe,
): number[] {
  const driven = movements.map((movement) => drivenSpeed(motion, movement));
  const held = driven.map(({ heldShare }) => heldShare >= CONSTANT_SHARE);
  const isHeld = held.includes(true) ? held : held.map(() => true);
  const setSpeeds = clusters(
    driven.filter((_, k) => isHeld[k]).map(({ held_degps }) => held_degps),
    1 + counting.sameSpeed_pct / 100,
  );
  return driven.map(({ held_degps }, k) => {
    if (isHeld[k]) return nearest(setSpeeds, held_degps);
    const neighbour = nearestHeld(movements, isHeld, k);
    return nearest(setSpeeds, driven[neighbour].held_degps);
  });
}

/** Nearest in time, one of the same direction before one of the other. */
function nearestHeld(
  movements: readonly Movement[],
  isHeld: readonly boolean[],
  k: number,
): number {
  let best = k;
  let bestDistance = Infinity;
  movements.forEach((movement, i) => {
    if (!isHeld[i]) return;
    const away = movement.sign === movements[k].sign ? 0 : movements.length;
    const distance = away + Math.abs(i - k);
    if (distance < bestDistance) [best, bestDistance] = [i, distance];
  });
  return best;
}

/** Rounded medians of the groups whose neighbours lie within `ratio` of each other. */
function clusters(speeds: readonly number[], ratio: number): number[] {
  const sorted = [...speeds].sort((a, b) => a - b);
  const groups: number[][] = [];
  for (const speed of sorted) {
    const group = groups.at(-1);
    const last = group?.at(-1);
    if (group && last !== undefined && speed <= last * ratio) group.push(speed);
    else groups.push([speed]);
  }
  return groups.map((group) => asSet(middle(group)));
}

/** Machines are set in steps of 5 deg/s, slow ones in steps of 1: common practice, no source. */
function asSet(speed_degps: number): number {
  const fives = Math.round(speed_degps / 5) * 5;
  if (fives >= 10 && Math.abs(fives / speed_degps - 1) <= 0.03) return fives;
  return speed_degps >= 10 ? Math.round(speed_degps) : Math.round(speed_degps * 10) / 10;
}

function nearest(values: readonly number[], wanted: number): number {
  return values.reduce((best, value) =>
    Math.abs(value - wanted) < Math.abs(best - wanted) ? value : best,
  );
}

/** Median speed of what is faster than half the fastest, over the whole signal. */
function typicalSpeed({ velocity_degps }: Motion): number {
  const half = fastest_degps(velocity_degps) / 2;
  const fast = velocity_degps.filter((v) => Math.abs(v) > half).map(Math.abs);
  return fast.sort()[fast.length >> 1] ?? 0;
}

/** Spread of torque over the middle half of a movement as a share of its mean; Infinity for none. */
function loadSpread(torque_Nm: Float64Array, { first, end }: Movement): number {
  const quarter = (end - first) >> 2;
  let [n, sum, squares] = [0, 0, 0];
  for (let i = first + quarter; i < end - quarter; i += 1) {
    const torque = torque_Nm[i];
    if (torque !== torque) continue;
    n += 1;
    sum += torque;
    squares += torque * torque;
  }
  const mean = sum / n;
  const spread = Math.sqrt(Math.max(0, squares / n - mean * mean)) / Math.abs(mean);
  return Number.isFinite(spread) ? spread : Infinity;
}

function range(values: Float64Array): number {
  let [least, most] = [Infinity, -Infinity];
  for (const value of values) {
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return most > least ? most - least : 0;
}

function middle(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1] ?? 0;
}

function withCutOff(angleLowpass_Hz: number): Recipe {
  return changedRecipe(DEFAULT_RECIPE, 'looking', { conditioning: { angleLowpass_Hz } });
}
