/**
 * Isometric efforts: rises of torque out of a quiet baseline that is followed as it shifts. A baseline
 * lower after release than before is not an effort the other way.
 */
import type { Recipe } from '../recipe/recipe.ts';
import type { Span } from './stretches.ts';

export interface Effort extends Span {
  readonly sign: 1 | -1;
  /** Sample of the largest torque above the baseline. */
  readonly peak: number;
  /** Quiet torque before it; null where the signal begins in the effort. */
  readonly baseline: Baseline | null;
  readonly isCut: boolean;
}

export interface Baseline extends Span {
  readonly mean_Nm: number;
  readonly sd_Nm: number;
}

/** Windows of the baseline begin this share of their length apart. */
const HOP_SHARE = 0.1;

/** Torque that goes nearer to zero than a quiet level by this share of its range was not at rest there. */
const HELD_SHARE = 0.3;
/** Torque keeps one sign when it crosses zero by no more than this share of its range. */
const ONE_SIGN_SHARE = 0.05;

/** Torque smoothed by the recipe, signed; NaN where samples are missing. */
export interface EffortSearch {
  readonly torque_Nm: Float64Array;
  readonly rate_Hz: number;
  /** True where weight was removed as stated: then 0 is the baseline. */
  readonly isZeroed: boolean;
  readonly recipe: Recipe;
}

export function effortsOf(search: EffortSearch): Effort[] {
  const { torque_Nm, rate_Hz, recipe, isZeroed } = search;
  const { isometric } = recipe;
  const extent = extentOf(torque_Nm);
  if (extent === null) return [];
  const window = Math.max(2, Math.round((isometric.baselineWindow_ms / 1000) * rate_Hz));
  const largest_Nm = extent.most - extent.least;
  if (largest_Nm < isometric.leastEffort_Nm) return [];
  const quiet = quietWindows(torque_Nm, window, (isometric.quiet_pct / 100) * largest_Nm);
  const rest = isZeroed ? 0 : restLevel(quiet, extent);
  const least_Nm = Math.max(
    isometric.leastEffort_Nm,
    (isometric.effort_pct / 100) * Math.max(extent.most - rest, rest - extent.least),
  );
  const leastSamples = (isometric.leastDuration_ms / 1000) * rate_Hz;
  const levels = {
    rest,
    least_Nm,
    over_Nm: (isometric.over_pct / 100) * least_Nm,
    overShare: isometric.overReached_pct / 100,
    isZeroed,
  };
  const rough = roughEfforts(torque_Nm, quiet, levels);
  return rough
    .filter(({ first, end }) => end - first >= leastSamples)
    .map((effort, k, all) => withBaseline(search, quiet, effort, all[k - 1]?.end ?? 0));
}

interface Extent {
  readonly least: number;
  readonly most: number;
}

function extentOf(values: Float64Array): Extent | null {
  let [least, most] = [Infinity, -Infinity];
  for (const value of values) {
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return most > least ? { least, most } : null;
}

/** All windows whose SD is below the limit, in order; sums around the first value keep digits. */
export function quietWindows(values: Float64Array, window: number, most_Nm: number): Baseline[] {
  const hop = Math.max(1, Math.round(window * HOP_SHARE));
  const found: Baseline[] = [];
  for (let first = 0; first + window <= values.length; first += hop) {
    const origin = values[first];
    let sum = 0;
    let squares = 0;
    for (let i = first; i < first + window; i += 1) {
      const d = values[i] - origin;
      sum += d;
      squares += d * d;
    }
    const variance = (squares - (sum * sum) / window) / (window - 1);
    const sd_Nm = Math.sqrt(Math.max(0, variance));
    if (sd_Nm <= most_Nm) {
      found.push({ first, end: first + window, mean_Nm: origin + sum / window, sd_Nm });
    }
  }
  return found;
}

/**
 * Torque of rest: of all quiet windows the one nearest to zero, 0 where there is none. A torque that
 * keeps one sign and goes much nearer to zero than that was only held quietly there: then 0, too.
 */
function restLevel(quiet: readonly Baseline[], { least, most }: Extent): number {
  const rest = quiet.reduce(
    (best, { mean_Nm }) => (Math.abs(mean_Nm) < Math.abs(best) ? mean_Nm : best),
    quiet[0]?.mean_Nm ?? 0,
  );
  const beyond = HELD_SHARE * (most - least);
  const slack = ONE_SIGN_SHARE * (most - least);
  const isHeld =
    (least > -slack && least < rest - beyond) || (most < slack && most > rest + beyond);
  return isHeld ? 0 : rest;
}

interface Rough extends Span {
  readonly sign: 1 | -1;
  readonly peak: number;
}

interface Levels {
  readonly rest: number;
  readonly least_Nm: number;
  readonly over_Nm: number;
  readonly overShare: number;
  readonly isZeroed: boolean;
}

/** Follows the baseline through quiet windows and collects what rises out of it. */
function roughEfforts(
  torque_Nm: Float64Array,
  quiet: readonly Baseline[],
  { rest, least_Nm, over_Nm, overShare, isZeroed }: Levels,
): Rough[] {
  const efforts: Rough[] = [];
  let base = rest;
  let isSettled = true;
  let isArmed = true;
  let lastSign = 0;
  let first = -1;
  let sign: 1 | -1 = 1;
  let peak = -1;
  let q = 0;
  const n = torque_Nm.length;
  for (let i = 0; i <= n; i += 1) {
    const above = i < n ? torque_Nm[i] - base : 0;
    if (first < 0) {
      while (q < quiet.length && quiet[q].end <= i) {
        if (Math.abs(quiet[q].mean_Nm - base) < least_Nm || !isSettled) {
          if (!isZeroed) base = quiet[q].mean_Nm;
          isSettled = true;
          isArmed = true;
        }
        q += 1;
      }
      if (lastSign * above < over_Nm) isArmed = true;
      const isEnough = isArmed && Math.abs(above) > least_Nm;
      if (!isEnough || (!isSettled && Math.sign(above) !== lastSign)) continue;
      first = i;
      peak = i;
      sign = above > 0 ? 1 : -1;
    } else {
      const reached = sign * (torque_Nm[peak] - base);
      if (i < n && sign * above > reached) peak = i;
      if (i < n && !(sign * above < Math.max(over_Nm, overShare * reached))) continue;
      efforts.push({ first, end: i, sign, peak });
      first = -1;
      lastSign = sign;
      isSettled = false;
      isArmed = false;
      while (q < quiet.length && quiet[q].first < i) q += 1;
    }
  }
  return efforts;
}

/** The quietest window within reach before the effort; none reaches back into the one before. */
function withBaseline(
  { torque_Nm, rate_Hz, recipe }: EffortSearch,
  quiet: readonly Baseline[],
  effort: Rough,
  after: number,
): Effort {
  const reach = effort.first - recipe.isometric.baselineReach_s * rate_Hz;
  let baseline: Baseline | null = null;
  for (let k = firstFrom(quiet, Math.max(after, reach)); k < quiet.length; k += 1) {
    if (quiet[k].end > effort.first) break;
    if (baseline === null || quiet[k].sd_Nm < baseline.sd_Nm) baseline = quiet[k];
  }
  const isCut = (effort.first === 0 && baseline === null) || effort.end >= torque_Nm.length;
  return { ...effort, baseline, isCut };
}

/** Number of the first window that begins at or after the sample. */
function firstFrom(windows: readonly Baseline[], sample: number): number {
  let low = 0;
  let high = windows.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (windows[middle].first < sample) low = middle + 1;
    else high = middle;
  }
  return low;
}
