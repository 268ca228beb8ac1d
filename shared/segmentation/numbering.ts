/** Repetition and set numbers, and which movements reach the range of their set. */
import type { Motion } from './motion.ts';
import { type Movement, supportedTravel } from './movements.ts';

export interface Place {
  readonly repetition: number;
  readonly set: number;
}

/**
 * Reciprocal movements share a number: a new repetition begins when the direction repeats or both were
 * seen. A pause longer than `pause_s` parts two directions when the second is nearer to the one after
 * it. Numbers go on over sets; a longer pause before a new repetition begins a set.
 */
export function placesOf(
  movements: readonly Movement[],
  time_s: Float64Array,
  pause_s: number,
): Place[] {
  const rests_s = movements.map(({ first }, k) =>
    k === 0 ? 0 : time_s[first] - time_s[movements[k - 1].end - 1],
  );
  let repetition = 0;
  let set = 1;
  let seen = new Set<number>();
  return movements.map(({ sign }, k) => {
    const isNearerToNext =
      rests_s[k] > pause_s &&
      k + 1 < movements.length &&
      movements[k + 1].sign !== sign &&
      rests_s[k + 1] < rests_s[k] / 2;
    if (k === 0 || seen.has(sign) || seen.size === 2 || isNearerToNext) {
      repetition += 1;
      seen = new Set();
      if (rests_s[k] > pause_s) set += 1;
    }
    seen.add(sign);
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
