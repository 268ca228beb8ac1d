/** From a still signal to phases: efforts of torque, their baseline, onset and end. */
import type { Conditions, Reason, Signal } from '../analysis-types.ts';
import { largestAt, type Window } from '../measures/window.ts';
import type { Recipe } from '../recipe/recipe.ts';
import { type Effort, effortsOf } from './efforts.ts';
import { withBoundaries } from './decisions.ts';
import { holesIn } from './holes.ts';
import type { Motion } from './motion.ts';
import { onsetOf, releaseOf } from './onset.ts';
import type { FoundPhase } from './phase.ts';
import { clockOf } from './stretches.ts';
import { type Piece, pieceOf } from './torque.ts';

export interface EffortSearchInput {
  readonly signal: Signal;
  readonly motion: Motion | null;
  readonly conditions: Conditions;
  readonly recipe: Recipe;
}

/** Share of the peak above which an effort surely still goes on. */
const CERTAIN_SHARE = 0.5;

export function effortPhases(input: EffortSearchInput): readonly FoundPhase[] {
  const { signal, motion, conditions, recipe } = input;
  const clock = clockOf(signal, recipe.conditioning.hole_factor);
  const source = { signal, motion, clock, conditions, recipe, signAt: null };
  const whole = { first: 0, end: signal.time_s.length };
  const smooth = pieceOf(source, whole, recipe.conditioning.torqueLowpass_Hz);
  const fine = pieceOf(source, whole, recipe.onset.lowpass_Hz);
  const isZeroed = conditions.gravity !== undefined;
  const { rate_Hz } = signal;
  const efforts = effortsOf({ torque_Nm: smooth.torque_Nm, rate_Hz, isZeroed, recipe });
  const found = efforts.map((effort, k) => {
    const before = efforts[k - 1]?.end ?? 0;
    const after = efforts[k + 1]?.baseline?.first ?? efforts[k + 1]?.first ?? whole.end;
    return boundsOf(effort, fine.torque_Nm, { before, after }, input);
  });
  const bounds = withBoundaries(found, signal.time_s, conditions.boundaries);
  return efforts.map((effort, k) => {
    const { first, onset } = bounds[k];
    // An isometric effort begins with its onset: who moves the one moves the other.
    const isMoved = first !== found[k].first;
    const moved = { ...bounds[k], onset: isMoved ? first : onset };
    return phaseOf(input, smooth, fine, effort, moved, k + 1);
  });
}

interface Bounds {
  readonly onset: number;
  readonly first: number;
  readonly end: number;
  readonly isCut: boolean;
}

/** Works in samples from `low` on, so that many efforts take no longer than their samples. */
function boundsOf(
  { sign, peak, baseline, first, end: over, isCut }: Effort,
  fine_Nm: Float64Array,
  { before, after }: { readonly before: number; readonly after: number },
  { signal, recipe }: EffortSearchInput,
): Bounds {
  const low = baseline?.end ?? before;
  const torque_Nm = fine_Nm.subarray(low, after).map((torque) => sign * torque);
  const turned = baseline && { ...baseline, mean_Nm: sign * baseline.mean_Nm };
  const search = {
    torque_Nm,
    rate_Hz: signal.rate_Hz,
    baseline: turned,
    from: 0,
    peak: peak - low,
  };
  const onset = onsetOf(search, recipe.onset.rule, recipe);
  const base_Nm = turned?.mean_Nm ?? 0;
  const certain_Nm = base_Nm + CERTAIN_SHARE * (torque_Nm[peak - low] - base_Nm);
  let last = Math.min(over, after) - 1 - low;
  while (last > peak - low && !(torque_Nm[last] >= certain_Nm)) last -= 1;
  const isCutAtEnd = over >= signal.time_s.length;
  const end = isCutAtEnd ? over : low + releaseOf(torque_Nm, last, torque_Nm.length, recipe);
  return {
    onset: onset < 0 ? -1 : low + onset,
    first: onset < 0 ? first : low + onset,
    end,
    isCut: isCut || onset < 0 || end >= signal.time_s.length,
  };
}

function phaseOf(
  { signal, conditions, recipe }: EffortSearchInput,
  smooth: Piece,
  fine: Piece,
  effort: Effort,
  { onset, first, end, isCut }: Bounds,
  repetition: number,
): FoundPhase {
  const { sign } = effort;
  const baseline = conditions.gravity === undefined ? effort.baseline : null;
  const base_Nm = baseline?.mean_Nm ?? 0;
  const above = (column: Float64Array) =>
    column.subarray(first, end).map((torque) => sign * (torque - base_Nm));
  const cut = (column: Float64Array | null) => column && column.subarray(first, end);
  const torque_Nm = above(smooth.torque_Nm);
  const holes = holesIn(
    { ...signal, angle_deg: null },
    { first, end },
    recipe.conditioning.hole_factor / signal.rate_Hz,
    { atFirst: false, atEnd: false },
  );
  const hasGap = holes.some(
    ({ start_s, end_s }) => end_s - start_s > recipe.counting.gap_ms / 1000,
  );
  const window: Window = {
    first: 0,
    end: end - first,
    rate_Hz: signal.rate_Hz,
    time_s: signal.time_s.subarray(first, end),
    torque_Nm,
    peakable_Nm: torque_Nm,
    unfiltered_Nm: smooth.unfiltered_Nm.subarray(first, end).map((torque) => torque - base_Nm),
    fine_Nm: above(fine.torque_Nm),
    angle_deg: cut(smooth.angle_deg),
    velocity_degps: cut(smooth.velocity_degps),
    action: 'isometric',
    effort: sign,
    direction: sign,
    peak: largestAt(torque_Nm, { first: 0, end: end - first }),
    onset: onset < 0 ? -1 : 0,
    targetSpeed_degps: null,
    loadRange: null,
    hasLongHole: hasGap,
    bodyMass_kg: conditions.bodyMass_kg ?? null,
    recipe,
  };
  const reasons: Reason[] = [];
  if (isCut) reasons.push('cut');
  if (hasGap) reasons.push('gap');
  return {
    window,
    repetition,
    set: 1,
    reasons,
    impacts: [],
    baseline,
  };
}
