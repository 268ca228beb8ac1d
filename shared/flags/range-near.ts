/**
 * The limb is close to a software limit, or will be there within a moment at its present velocity.
 * Over once it is well inside again; going past the limit is `rangeBeyond`'s to tell.
 */
import type { Flag } from './flag.ts';
import type { LiveFlag } from './index.ts';
import { NO_FLAGS } from './ladder.ts';
import { tenths, whole } from './words.ts';

export const rangeNear: LiveFlag = {
  kind: 'rangeNear',
  priority: 'medium',
  about: 'The angle is near a limit of the range, or reaches it within a moment.',
  create({ range_deg, rising, falling, rate_Hz, thresholds }) {
    const { rangeNear_deg, rangeNear_s, rangeHysteresis_deg } = thresholds;
    const [least, most] = range_deg ?? [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
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

    function step(angle: number, velocity: number, at: number, out: Flag[]): void {
      if (side !== 0) {
        const left_deg = side === 1 ? most - angle : angle - least;
        if (left_deg < closest_deg) closest_deg = left_deg;
        if (
          left_deg <= rangeNear_deg + rangeHysteresis_deg ||
          left_deg <= side * velocity * rangeNear_s
        )
          return;
        out.push(flag(at, 0));
        side = 0;
      }
      const up_deg = most - angle;
      const down_deg = angle - least;
      if (isNear(up_deg, velocity)) side = 1;
      else if (isNear(down_deg, -velocity)) side = -1;
      if (side === 0) return;
      closest_deg = side === 1 ? up_deg : down_deg;
      start = at;
      out.push(flag(at, side * velocity > 0 ? Math.max(0, closest_deg / (side * velocity)) : 0));
    }

    /** `speed` is positive toward the limit; NaN counts as unknown, only the distance decides then. */
    function isNear(left_deg: number, speed_degps: number): boolean {
      return left_deg < rangeNear_deg || left_deg < speed_degps * rangeNear_s;
    }

    return {
      push(block) {
        const angles = block.columns.get('angle_deg');
        if (angles === undefined || range_deg === null) return NO_FLAGS;
        const velocities = block.columns.get('velocity_degps');
        let out: Flag[] | null = null;
        for (let i = 0; i < block.n; i += 1) {
          const angle = angles[i];
          const velocity = velocities === undefined ? 0 : velocities[i];
          const ahead_deg = angle + velocity * rangeNear_s;
          const isInside =
            angle <= most - rangeNear_deg &&
            angle >= least + rangeNear_deg &&
            !(ahead_deg > most || ahead_deg < least);
          if ((side === 0 && isInside) || angle !== angle) continue;
          step(angle, velocity, block.index + i, (out ??= []));
        }
        newest = block.index + block.n;
        return out ?? NO_FLAGS;
      },
      end() {
        return side === 0 ? NO_FLAGS : [flag(newest, 0)];
      },
    };
  },
};
