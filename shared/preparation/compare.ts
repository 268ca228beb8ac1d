/**
 * Two weighings laid over each other: how far apart they are where both were swept. A shifted axis, another
 * seat or a twisted strap shows here, before any effort.
 */
import type { Gravity } from '../gravity/gravity.ts';
import { weightAt } from '../gravity/remove.ts';

export interface Weighed {
  readonly gravity: Gravity;
  readonly range_deg: readonly [number, number];
}

export interface Apart {
  /** Largest difference, now minus then, and where. */
  readonly most_Nm: number;
  readonly at_deg: number;
  readonly mean_Nm: number;
  readonly isApart: boolean;
}

/** Beyond this two weighings of one limb are not the same: the limit that one weighing is held to. */
export const APART_FROM_BEFORE_NM = 1;
const LEAST_COMMON_DEG = 10;

/** Null when they have less than 10° in common. */
export function apart(now: Weighed, then: Weighed): Apart | null {
  const least = Math.max(now.range_deg[0], then.range_deg[0]);
  const most = Math.min(now.range_deg[1], then.range_deg[1]);
  if (!(most - least >= LEAST_COMMON_DEG)) return null;
  let worst = { most_Nm: 0, at_deg: least };
  let sum = 0;
  let n = 0;
  for (let angle = Math.ceil(least); angle <= most; angle += 1) {
    const difference = weightAt(now.gravity, angle) - weightAt(then.gravity, angle);
    if (!Number.isFinite(difference)) continue;
    if (Math.abs(difference) > Math.abs(worst.most_Nm)) {
      worst = { most_Nm: difference, at_deg: angle };
    }
    sum += difference;
    n += 1;
  }
  if (n === 0) return null;
  return { ...worst, mean_Nm: sum / n, isApart: Math.abs(worst.most_Nm) > APART_FROM_BEFORE_NM };
}
