/**
 * Finds slow passive sweeps in the stream while it runs: one movement, one way, in points of 10 ms. Works
 * from the angle alone, so that a missing or turned velocity channel does not matter.
 */
import type { Block } from '../block/block.ts';

/** One movement in one direction; arrays of one length, in the order of time. */
export interface Sweep {
  readonly way: 1 | -1;
  readonly angle_deg: readonly number[];
  readonly torque_Nm: readonly number[];
  readonly velocity_degps: readonly number[];
}

export type SweepEnd =
  | { readonly kind: 'sweep'; readonly sweep: Sweep }
  /** It stopped or turned before the range was covered. */
  | { readonly kind: 'short'; readonly covered_deg: number; readonly needed_deg: number }
  /** Faster than a passive sweep may be: tissue and inertia answer the speed. */
  | { readonly kind: 'fast'; readonly speed_degps: number };

export interface SweepWatch {
  /** The sweep under way; null at rest. */
  readonly current: Sweep | null;
  /** Movements that ended in this block. */
  push(block: Block): readonly SweepEnd[];
}

/** Samples are averaged over this time: it takes noise out and leaves 20 points a degree at 5°/s. */
const POINT_S = 0.01;
/** Speed is the change of angle over this many points (0.2 s): the noise of a goniometer averages out. */
const SPEED_POINTS = 20;
/** Slower is rest or a turning point; common practice, no source. */
const STILL_DEGPS = 1;
/** A passive sweep goes at 5°/s (domain practice); at twice that, stretch reflexes begin to answer. */
export const FASTEST_DEGPS = 10;
/** Share of the range limits that a sweep must cover. */
const LEAST_SHARE = 0.8;
/** Movements shorter than this are placing and jolts: not worth a word. */
const LEAST_WORD_DEG = 3;
/** A sweep of 360° at 1°/s; what goes on longer is not one. */
const MOST_POINTS = 36_000;

export function createSweepWatch(range_deg: readonly [number, number]): SweepWatch {
  const needed_deg = LEAST_SHARE * (range_deg[1] - range_deg[0]);
  const recent: { angle: number; torque: number }[] = [];
  let current: Growing | null = null;
  let sum = { n: 0, angle: 0, torque: 0 };

  const restart = (): void => {
    recent.length = 0;
    current = null;
    sum = { n: 0, angle: 0, torque: 0 };
  };
  /** One point; the movement that it ends, if it ends one. */
  const addPoint = (angle: number, torque: number): SweepEnd | null => {
    recent.push({ angle, torque });
    if (recent.length <= SPEED_POINTS) return null;
    const [oldest] = recent;
    recent.shift();
    const middle = recent[(SPEED_POINTS >> 1) - 1] ?? { angle, torque };
    const speed = (angle - (oldest?.angle ?? angle)) / (SPEED_POINTS * POINT_S);
    const way = speed > STILL_DEGPS ? 1 : speed < -STILL_DEGPS ? -1 : 0;
    let ended: SweepEnd | null = null;
    if (current && way !== current.way) {
      ended = judge(current, needed_deg);
      current = null;
    }
    if (way !== 0) {
      current ??= { way, angle_deg: [], torque_Nm: [], velocity_degps: [] };
      if (current.angle_deg.length >= MOST_POINTS) return ended;
      current.angle_deg.push(middle.angle);
      current.torque_Nm.push(middle.torque);
      current.velocity_degps.push(speed);
    }
    return ended;
  };

  return {
    get current() {
      return current;
    },
    push({ n, rate_Hz, afterGap, columns }) {
      if (afterGap) restart();
      const angles = columns.get('angle_deg');
      const torques = columns.get('torque_Nm');
      const perPoint = Math.max(1, Math.round(POINT_S * rate_Hz));
      const ends: SweepEnd[] = [];
      for (let i = 0; angles && torques && i < n; i += 1) {
        const angle = angles[i] ?? Number.NaN;
        const torque = torques[i] ?? Number.NaN;
        if (Number.isNaN(angle) || Number.isNaN(torque)) continue;
        sum.n += 1;
        sum.angle += angle;
        sum.torque += torque;
        if (sum.n < perPoint) continue;
        const end = addPoint(sum.angle / sum.n, sum.torque / sum.n);
        sum = { n: 0, angle: 0, torque: 0 };
        if (end) ends.push(end);
      }
      return ends.filter((end) => end.kind !== 'short' || end.covered_deg > LEAST_WORD_DEG);
    },
  };
}

interface Growing {
  readonly way: 1 | -1;
  readonly angle_deg: number[];
  readonly torque_Nm: number[];
  readonly velocity_degps: number[];
}

function judge(sweep: Growing, needed_deg: number): SweepEnd {
  const first = sweep.angle_deg[0] ?? 0;
  const covered_deg = Math.abs((sweep.angle_deg.at(-1) ?? 0) - first);
  const speeds = Float64Array.from(sweep.velocity_degps, Math.abs).sort();
  const speed_degps = speeds[speeds.length >> 1] ?? 0;
  if (speed_degps > FASTEST_DEGPS) return { kind: 'fast', speed_degps };
  if (covered_deg < needed_deg) return { kind: 'short', covered_deg, needed_deg };
  return { kind: 'sweep', sweep };
}
