/**
 * Where an isometric effort begins. Four rules, all walking back from the rise so that a creep of torque
 * long before it does not count as its beginning.
 */
import type { Recipe } from '../recipe/recipe.ts';
import type { Baseline } from './efforts.ts';

export interface OnsetSearch {
  /** Torque smoothed for onset, positive in the direction of the effort. */
  readonly torque_Nm: Float64Array;
  readonly rate_Hz: number;
  /** In the same direction; null where there is no rest before. */
  readonly baseline: Baseline | null;
  /** First sample that may be the onset, and the sample of the largest torque. */
  readonly from: number;
  readonly peak: number;
}

export type OnsetRule = Recipe['onset']['rule'];

/**
 * Sample of the onset; -1 where the signal begins after it. A rule that is never met on the way back
 * gives the end of the baseline: torque left it there and only crept on.
 */
export function onsetOf(search: OnsetSearch, rule: OnsetRule, { onset }: Recipe): number {
  const { torque_Nm, baseline, from, peak } = search;
  const base_Nm = baseline?.mean_Nm ?? 0;
  const net_Nm = torque_Nm[peak] - base_Nm;
  const half = firstAbove(torque_Nm, base_Nm + net_Nm / 2, from, peak);
  if (half <= from) return -1;
  const at = onsetBy(rule);
  return at < 0 && baseline !== null ? from : at;

  function onsetBy(name: OnsetRule): number {
    switch (name) {
      case 'slope':
        return slopeOnset(search, onset.slope_pct / 100);
      case 'absolute':
        return lastBelow(torque_Nm, base_Nm + onset.absolute_Nm, half, from);
      case 'deviation':
        return lastBelow(
          torque_Nm,
          base_Nm + onset.deviation_factor * (baseline?.sd_Nm ?? 0),
          half,
          from,
        );
      case 'percent':
        return lastBelow(torque_Nm, base_Nm + (onset.percent_pct / 100) * net_Nm, half, from);
    }
  }
}

/** Last sample before the steepest rise whose slope is below a share of the steepest. */
function slopeOnset({ torque_Nm, from, peak }: OnsetSearch, share: number): number {
  const slope = (i: number) => torque_Nm[i + 1] - torque_Nm[i - 1];
  let steepest = from + 1;
  for (let i = from + 1; i < peak; i += 1) if (slope(i) > slope(steepest)) steepest = i;
  const least = share * slope(steepest);
  for (let i = steepest; i > from; i -= 1) if (slope(i) < least) return i;
  return -1;
}

/**
 * Where an effort ends: first sample after the steepest fall whose slope is back to a share of it; the
 * end of the signal when it is cut there. `from` is the last sample that surely is effort.
 */
export function releaseOf(
  torque_Nm: Float64Array,
  from: number,
  end: number,
  { onset }: Recipe,
): number {
  const slope = (i: number) => torque_Nm[i - 1] - torque_Nm[i + 1];
  let steepest = from + 1;
  for (let i = from + 1; i < end - 1; i += 1) if (slope(i) > slope(steepest)) steepest = i;
  const least = (onset.slope_pct / 100) * slope(steepest);
  for (let i = steepest; i < end - 1; i += 1) if (slope(i) < least) return i + 1;
  return end;
}

function firstAbove(values: Float64Array, level: number, from: number, to: number): number {
  for (let i = from; i <= to; i += 1) if (values[i] >= level) return i;
  return to;
}

function lastBelow(values: Float64Array, level: number, before: number, from: number): number {
  for (let i = before; i >= from; i -= 1) if (values[i] < level) return i;
  return -1;
}
