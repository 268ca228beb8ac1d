/**
 * The load range of a movement: the longest run at constant velocity, less a little after its entry.
 * Before and after it the machine speeds the limb up or brakes it.
 */
import type { Recipe } from '../recipe/recipe.ts';
import type { Motion } from './motion.ts';
import type { Movement } from './movements.ts';
import type { Span } from './stretches.ts';

export interface ConstantSpeed {
  /** What the recipe leaves of the longest run. */
  readonly span: Span;
  /** The whole run, its entry included. */
  readonly run: Span;
}

/**
 * Speed within `tolerance_pct` of the target or `noise_factor` robust SDs, whichever is wider; dips
 * shorter than `bridge_ms` bridged; then `dropEntry_ms` dropped. Null where nothing is left.
 */
export function loadRangeOf(
  motion: Motion,
  movement: Movement,
  target_degps: number,
  restNoise_degps: number,
  { loadRange }: Recipe,
): ConstantSpeed | null {
  const noise = loadRange.noise_factor * restNoise_degps;
  const band = Math.max((loadRange.tolerance_pct / 100) * target_degps, noise || 0);
  const run = longestRun(
    motion,
    movement,
    { least: target_degps - band, most: target_degps + band },
    {
      bridge: Math.round((loadRange.bridge_ms / 1000) * motion.rate_Hz),
    },
  );
  if (run === null) return null;
  const begins = run.first > movement.first || !movement.isCut;
  const drop = begins ? Math.round((loadRange.dropEntry_ms / 1000) * motion.rate_Hz) : 0;
  const span = { first: run.first + drop, end: run.end };
  return span.end - span.first >= 2 ? { span, run } : null;
}

function longestRun(
  { velocity_degps }: Motion,
  { first, end, sign }: Movement,
  speed: { readonly least: number; readonly most: number },
  { bridge }: { readonly bridge: number },
): Span | null {
  let best: Span | null = null;
  let start = -1;
  let last = -1;
  for (let i = first; i <= end; i += 1) {
    const v = i < end ? sign * velocity_degps[i] : Number.NaN;
    if (v >= speed.least && v <= speed.most) {
      if (start < 0) start = i;
      last = i;
    } else if (start >= 0 && (i === end || i - last > bridge)) {
      if (!best || last + 1 - start > best.end - best.first) best = { first: start, end: last + 1 };
      start = -1;
    }
  }
  return best;
}

/** The narrowest range of speed that holds this share of the fast samples is where a motor held it. */
const HELD_SHARE = 1 / 3;
/** A speed is held within this share of it. */
const HELD_WITHIN = 0.1;

export interface DrivenSpeed {
  /** Median speed of the samples faster than half the fastest: the rule of the open elbow data. */
  readonly median_degps: number;
  /** Where speed stayed longest: not drawn down by long ramps, as the median is. */
  readonly held_degps: number;
  /** Share of the movement's time within 10 % of the held speed. */
  readonly heldShare: number;
}

/** The speed a movement was driven at, without knowing what the machine was set to. */
export function drivenSpeed(
  { velocity_degps }: Motion,
  { first, end, sign }: Movement,
): DrivenSpeed {
  let fastest = 0;
  for (let i = first; i < end; i += 1) fastest = Math.max(fastest, sign * velocity_degps[i] || 0);
  const speeds = velocity_degps
    .subarray(first, end)
    .map((v) => sign * v)
    .filter((speed) => speed > fastest / 2)
    .sort();
  if (speeds.length === 0) return { median_degps: 0, held_degps: 0, heldShare: 0 };
  const held_degps = heldSpeed(speeds);
  const held = speeds.filter((speed) => Math.abs(speed / held_degps - 1) <= HELD_WITHIN);
  return { median_degps: medianOf(speeds), held_degps, heldShare: held.length / (end - first) };
}

/** Median of the narrowest stretch of sorted speeds that holds its share of them. */
function heldSpeed(sorted: Float64Array): number {
  const n = Math.max(1, Math.ceil(HELD_SHARE * sorted.length));
  let best = 0;
  for (let i = 0; i + n <= sorted.length; i += 1) {
    if (sorted[i + n - 1] - sorted[i] < sorted[best + n - 1] - sorted[best]) best = i;
  }
  return medianOf(sorted.subarray(best, best + n));
}

function medianOf(sorted: Float64Array): number {
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}
