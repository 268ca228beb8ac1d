/** Repetition and set numbers, and which movements reach the range of their set. */
import type { Motion } from './motion.ts';
import { type Movement, supportedTravel } from './movements.ts';

export interface Place {
  readonly repetition: number;
  readonly set: number;
}

/**
 * Reciprocal movements share a number: a new repetition begins when the direction repeats or both were
 * seen. Numbers go on over sets; a pause longer than `pause_s` before a new repetition begins a set.
 */
export function placesOf(
  movements: readonly Movement[],
  time_s: Float64Array,
  pause_s: number,
): Place[] {
  let repetition = 0;
  let set = 1;
  let seen = new Set<number>();
  return movements.map((movement, k) => {
    const isNew = k === 0 || seen.has(movement.sign) || seen.size === 2;
    if (isNew) {
      repetition += 1;
      seen = new Set();
      const rest_s = k === 0 ? 0 : time_s[movement.first] - time_s[movements[k - 1].end - 1];
      if (rest_s > pause_s) set += 1;
    }
    seen.add(movement.sign);
    return { repetition, set };
  });
}

/** Of each movement: the range that its set is measured by; `stated_deg` wins. */
export function setRanges(
  motion: Motion,
  movements: readonly Movement[],
  speeds: readonly (number | null)[],
  stated_deg: number | undefined,
): number[] {
  const bySpeed = new Map<number | null, number>();
  return movements.map((_, k) => {
    if (stated_deg !== undefined) return stated_deg;
    const speed = speeds[k];
    let range = bySpeed.get(speed);
    if (range === undefined) {
      range = supportedTravel(
        motion,
        movements.filter((_other, i) => speeds[i] === speed),
      );
      bySpeed.set(speed, range);
    }
    return range;
  });
}
