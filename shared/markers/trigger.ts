/**
 * Edges of a trigger channel as markers between samples: where the straight line from the last sample on
 * one side of the middle to the first on the other crosses it. An edge inside a hole is not guessed.
 */

/** A pulse must leave the middle by this share of the span: noise at the middle makes no edges. */
const HYSTERESIS_SHARE = 0.2;
/** A span below this share of what the converter can show is noise, not pulses. Common practice, no source. */
export const LEAST_SPAN_SHARE = 0.1;

export interface TriggerEdge {
  /** Index in the stream, with a fraction. */
  readonly index: number;
  readonly rises: boolean;
}

export interface TriggerFinder {
  /** Consecutive samples from `index` on; a jump from the last call is a hole. */
  push(index: number, values: ArrayLike<number>, n: number): TriggerEdge[];
}

/** `low` and `high` are the two levels of the channel, in the unit of its values. */
export function findTriggers(low: number, high: number): TriggerFinder {
  const middle = (low + high) / 2;
  const margin = HYSTERESIS_SHARE * (high - low);
  let isHigh: boolean | null = null;
  let last = Number.NaN;
  let next = Number.NaN;
  /** Where the middle was crossed last, upward and downward. */
  let crossing = { up: Number.NaN, down: Number.NaN };

  const step = (index: number, value: number): TriggerEdge | null => {
    if (Number.isNaN(value)) {
      isHigh = null;
      last = value;
      return null;
    }
    if (last < middle && value >= middle) crossing = { ...crossing, up: at(index, value) };
    if (last >= middle && value < middle) crossing = { ...crossing, down: at(index, value) };
    last = value;
    const was = isHigh;
    if (value >= middle + margin) isHigh = true;
    else if (value <= middle - margin) isHigh = false;
    if (was === null || isHigh === was || isHigh === null) return null;
    return { index: isHigh ? crossing.up : crossing.down, rises: isHigh };
  };
  const at = (index: number, value: number): number => index - 1 + (middle - last) / (value - last);

  return {
    push(index, values, n) {
      if (index !== next) {
        isHigh = null;
        last = Number.NaN;
      }
      next = index + n;
      const edges: TriggerEdge[] = [];
      for (let i = 0; i < n; i += 1) {
        const edge = step(index + i, values[i]);
        if (edge) edges.push(edge);
      }
      return edges;
    },
  };
}
