/**
 * A table's signal that runs into a flat top or bottom: cut off by a converter whose ends are not known.
 * Told by how it gets there: a living signal slows before its peak, a cut-off one hits a wall.
 */
import type { QuantityName } from '../block/block.ts';
import type { Flag } from './flag.ts';
import type { OfflineFlag } from './index.ts';
import { saturatedFlag } from './saturated.ts';

/** Shortest flat that is told. */
const FEWEST_SAMPLES = 5;
/** The sample before or after the flat is this many steps of the converter away from it, at least. */
const WALL_STEPS = 4;

export const clipped: OfflineFlag = {
  kind: 'saturated',
  priority: 'medium',
  about: 'A signal runs at full speed into a flat top: cut off by a converter.',
  find({ signal }) {
    const columns: [QuantityName, Float64Array | null][] = [
      ['torque_Nm', signal.torque_Nm],
      ['angle_deg', signal.angle_deg],
    ];
    return columns.flatMap(([name, values]) =>
      values === null ? [] : flatsOf(name, values, signal.time_s),
    );
  },
};

function flatsOf(name: QuantityName, values: Float64Array, time_s: Float64Array): Flag[] {
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i += 1) {
    const value = values[i];
    if (value < least) least = value;
    if (value > most) most = value;
  }
  if (!(most > least)) return [];
  const flags: Flag[] = [];
  let step = 0;
  for (let i = 0; i < values.length; i += 1) {
    const limit = values[i];
    // Exactly 0 is rest of a signal without noise: no converter ends there.
    if (limit === 0 || (limit !== most && limit !== least)) continue;
    let end = i + 1;
    while (end < values.length && values[end] === limit) end += 1;
    if (end - i >= FEWEST_SAMPLES) {
      if (step === 0) step = smallestStep(values);
      const wall = WALL_STEPS * step;
      const isIn = i > 0 && Math.abs(values[i - 1] - limit) >= wall;
      const isOut = end < values.length && Math.abs(values[end] - limit) >= wall;
      if (isIn || isOut) {
        flags.push(saturatedFlag(name, limit, time_s[i], time_s[Math.min(end, values.length - 1)]));
      }
    }
    i = end;
  }
  return flags;
}

/** Smallest difference of neighbours that is not 0: the converter's step, or less. */
function smallestStep(values: Float64Array): number {
  let smallest = Number.POSITIVE_INFINITY;
  for (let i = 1; i < values.length; i += 1) {
    const step = Math.abs(values[i] - values[i - 1]);
    if (step > 0 && step < smallest) smallest = step;
  }
  return smallest;
}
