/** How a kept recording is drawn: its scale from its own extremes, and its holes as voids. */
import type { Scales } from './geometry.ts';
import type { Curves, Void } from './plot.ts';
import type { RecordConditions } from './record-conditions.ts';
import type { Overview } from './recordings.ts';

const ROOM = 0.08;
const LEAST_VELOCITY_DEGPS = 30;

/** Fixed for the recording; limits that were stated lie inside. */
export function scalesOfRecord(
  torque: Overview | null,
  angle: Overview | null,
  conditions: RecordConditions,
): Scales {
  const speed = Math.max(LEAST_VELOCITY_DEGPS, conditions.speed_degps ?? LEAST_VELOCITY_DEGPS);
  return {
    torque: padded(extremes(torque, 0), 2),
    angle: padded(widened(extremes(angle, null), conditions.range_deg), 4),
    velocity: [-1.4 * speed, 1.4 * speed],
  };
}

function extremes(overview: Overview | null, through: number | null): readonly [number, number] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  overview?.min.forEach((least, k) => {
    const most = overview.max[k] ?? Number.NaN;
    if (least < low) low = least;
    if (most > high) high = most;
  });
  if (!(low <= high)) return [-1, 1];
  return through === null ? [low, high] : [Math.min(through, low), Math.max(through, high)];
}

function widened(
  [low, high]: readonly [number, number],
  range: readonly [number, number] | null,
): readonly [number, number] {
  return range ? [Math.min(low, range[0]), Math.max(high, range[1])] : [low, high];
}

function padded([low, high]: readonly [number, number], least: number): readonly [number, number] {
  const room = Math.max(least, (high - low) * ROOM);
  return [low - room, high + room];
}

/** Runs of missing samples, on the axis of the curves. A void of every row is one through the sheet. */
export function voidsOf(curves: Curves): readonly Void[] {
  const { x_s, torque, angle } = curves;
  const hasTorque = torque.some((value) => !Number.isNaN(value));
  const hasAngle = angle.some((value) => !Number.isNaN(value));
  const lead = hasTorque ? torque : angle;
  if (!hasTorque && !hasAngle) return [];
  const voids: Void[] = [];
  let from = -1;
  for (let i = 0; i <= lead.length; i += 1) {
    const isMissing = i < lead.length && Number.isNaN(lead[i]);
    if (isMissing && from < 0) from = i;
    if (isMissing || from < 0) continue;
    const before = x_s[Math.max(0, from - 1)] ?? 0;
    const after = x_s[Math.min(x_s.length - 1, i)] ?? before;
    voids.push({ kind: 'lost', from_s: before, to_s: after });
    from = -1;
  }
  return voids;
}
