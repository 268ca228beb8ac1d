/** The corridor as paths: the band that comes, the band that went, and the subject's own line in it. */
import type { Lane } from './lane.svelte.ts';

/** In the picture's own units, 1920 by 1080. */
export const CORRIDOR = { now: 620, right: 1920, top: 66, height: 864 } as const;
/** Seconds to see ahead; what has been scrolls at the same pace. */
const AHEAD_S = 8;
const UNITS_PER_S = (CORRIDOR.right - CORRIDOR.now) / AHEAD_S;
const BEHIND_S = CORRIDOR.now / UNITS_PER_S;
/** A curve of some seconds a swing is smooth at this. */
const STEPS = 60;

export type Target = NonNullable<Lane['target']>;

export interface Point {
  readonly at_s: number;
  readonly level: number;
}

export function yOf(level: number): number {
  return CORRIDOR.top + CORRIDOR.height * (1 - level);
}

/** Level of the target at a moment of its own clock. */
export function targetAt({ level, swing, period_s }: Target, at_s: number): number {
  return period_s > 0 ? level + swing * Math.sin((2 * Math.PI * at_s) / period_s) : level;
}

export function isInBand(target: Target, { at_s, level }: Point): boolean {
  return Math.abs(level - targetAt(target, at_s)) <= target.half;
}

/** Upper edge, lower edge, and the area between them, before or after the present. */
export function bandPaths(target: Target, now_s: number, part: 'past' | 'coming') {
  const [from_s, to_s] = part === 'past' ? [now_s - BEHIND_S, now_s] : [now_s, now_s + AHEAD_S];
  const upper: string[] = [];
  const lower: string[] = [];
  for (let k = 0; k <= STEPS; k += 1) {
    const at_s = from_s + ((to_s - from_s) * k) / STEPS;
    const x = xOf(at_s, now_s).toFixed(1);
    const middle = targetAt(target, at_s);
    upper.push(`${x} ${yOf(middle + target.half).toFixed(1)}`);
    lower.push(`${x} ${yOf(middle - target.half).toFixed(1)}`);
  }
  return {
    upper: `M${upper.join('L')}`,
    lower: `M${lower.join('L')}`,
    area: `M${upper.join('L')}L${lower.toReversed().join('L')}z`,
  };
}

/** The line so far: what was inside the band, and what was not. */
export function trailPaths(target: Target, points: readonly Point[], now_s: number) {
  const inside: string[] = [];
  const outside: string[] = [];
  points.forEach((point, k) => {
    const before = points[k - 1];
    if (!before) return;
    const piece = `M${placeOf(before, now_s)}L${placeOf(point, now_s)}`;
    (isInBand(target, point) ? inside : outside).push(piece);
  });
  return { inside: inside.join(''), outside: outside.join('') };
}

/** The oldest point that is still in the picture. */
export function isSeen({ at_s }: Point, now_s: number): boolean {
  return now_s - at_s <= BEHIND_S;
}

function placeOf({ at_s, level }: Point, now_s: number): string {
  return `${xOf(at_s, now_s).toFixed(1)} ${yOf(level).toFixed(1)}`;
}

function xOf(at_s: number, now_s: number): number {
  return CORRIDOR.now + (at_s - now_s) * UNITS_PER_S;
}
