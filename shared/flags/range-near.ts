/**
 * The limb is close to a software limit, or will be there within a moment at its present velocity.
 * Over once it is well inside again; going past the limit is `rangeBeyond`'s to tell.
 */
import type { Flag } from './flag.ts';
import type { LiveContext, LiveFlag, Watcher } from './index.ts';
import { ANY } from './scan.ts';
import { NO_FLAGS, together } from './watchers.ts';
import { tenths, whole } from './words.ts';

export const rangeNear: LiveFlag = {
  kind: 'rangeNear',
  priority: 'medium',
  about: 'The angle is near a limit of the range, or reaches it within a moment.',
  create(context) {
    return context.range_deg === null ? together([]) : watchRange(context.range_deg, context);
  },
};

function watchRange(
  [least, most]: readonly [number, number],
  { rising, falling, rate_Hz, thresholds }: LiveContext,
): Watcher {
  const { rangeNear_deg, rangeNear_s, rangeHysteresis_deg } = thresholds;
  const low = least + rangeNear_deg;
  const high = most - rangeNear_deg;
  let side: 1 | -1 | 0 = 0;
  let closest_deg = 0;
  let start = 0;
  let newest = 0;

  function flag(end: number, ahead_s: number): Flag {
    const limit = side === 1 ? most : least;
    const inTime = ahead_s > 0 ? `, there in ${whole(1000 * ahead_s)} ms at this velocity` : '';
    return {
      kind: 'rangeNear',
      priority: 'medium',
      start_s: start / rate_Hz,
      end_s: end / rate_Hz,
      value: limit - side * closest_deg,
      limit,
      unit: 'deg',
      message:
        `Near the range limit toward ${side === 1 ? rising : falling}: ` +
        `${tenths(Math.max(0, closest_deg))}° to go${inTime}.`,
    };
  }

  /** A velocity that is not known decides nothing: the distance alone does then. */
  function step(angle: number, velocity: number, at: number, out: Flag[]): void {
    const ahead = Number.isNaN(velocity) ? angle : angle + velocity * rangeNear_s;
    if (side !== 0) {
      const left_deg = side === 1 ? most - angle : angle - least;
      if (left_deg < closest_deg) closest_deg = left_deg;
      const isHeading = side === 1 ? ahead >= most : ahead <= least;
      if (left_deg <= rangeNear_deg + rangeHysteresis_deg || isHeading) return;
      out.push(flag(at, 0));
      side = 0;
    }
    if (angle > high || ahead > most) side = 1;
    else if (angle < low || ahead < least) side = -1;
    else return;
    closest_deg = side === 1 ? most - angle : angle - least;
    start = at;
    const speed_degps = side * velocity;
    out.push(flag(at, speed_degps > 0 ? Math.max(0, closest_deg / speed_degps) : 0));
  }

  /** Beyond the angles themselves: does the velocity bring one of them to a limit in time? */
  function isAheadInside(angles: Float64Array, velocities: Float64Array, n: number): boolean {
    const [from, to, time_s] = [least, most, rangeNear_s];
    let nNear = 0;
    for (let i = 0; i < n; i += 1) {
      const ahead = angles[i] + velocities[i] * time_s;
      if (ahead > to || ahead < from) nNear += 1;
    }
    return nNear === 0;
  }

  return {
    quiet: new Map([['angle_deg', { ...ANY, least: low, most: high }]]),
    push(scan) {
      newest = scan.index + scan.n;
      const angle = scan.column('angle_deg');
      if (angle === null) return NO_FLAGS;
      const velocity = scan.column('velocity_degps');
      const isFar =
        angle.isQuiet &&
        (velocity === null || isAheadInside(angle.values, velocity.values, scan.n));
      if (side === 0 && isFar) return NO_FLAGS;
      const out: Flag[] = [];
      for (let i = 0; i < scan.n; i += 1) {
        if (Number.isNaN(angle.values[i])) continue;
        step(angle.values[i], velocity?.values[i] ?? Number.NaN, scan.index + i, out);
      }
      return out;
    },
    end() {
      if (side === 0) return NO_FLAGS;
      const over = flag(newest, 0);
      side = 0;
      return [over];
    },
  };
}
