/** How a movement stands in its set: whether it counts, and why not. */
import type { Reason } from '../analysis-types.ts';
import { holesIn } from './holes.ts';
import type { MovementSearch, Plan } from './movement-plan.ts';
import { type Movement, travelOf } from './movements.ts';

/** Why it does not count; empty when it does. */
export function reasonsOf(
  { signal, motion, recipe }: MovementSearch,
  { bands, isComplete }: Plan,
  movement: Movement,
  range_deg: number,
): Reason[] {
  const { time_s } = signal;
  const { velocity_degps } = motion;
  const isFast = (i: number) => Math.abs(velocity_degps[i]) > bands.edge_degps;
  const isOpen = {
    atFirst: movement.first > 0 && isFast(movement.first),
    atEnd: movement.end < time_s.length && isFast(movement.end - 1),
  };
  const longest_s = recipe.conditioning.hole_factor / signal.rate_Hz;
  const holes = isComplete ? [] : holesIn(signal, movement, longest_s, isOpen);
  const hasGap = holes.some(
    ({ start_s, end_s }) => end_s - start_s > recipe.counting.gap_ms / 1000,
  );
  const isShort = travelOf(motion, movement) < (recipe.counting.fullRange_pct / 100) * range_deg;
  const all: readonly (readonly [Reason, boolean])[] = [
    ['cut', movement.isCut],
    ['gap', hasGap],
    ['interrupted', movement.isInterrupted],
    ['shortRange', isShort && !movement.isCut && !hasGap],
  ];
  return all.filter(([, holds]) => holds).map(([reason]) => reason);
}
