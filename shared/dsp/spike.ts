/**
 * Repairs electrical spikes that are exactly one sample wide, and reports each of them.
 * Two samples or more are never touched, so a true overload stays; nor are the ends of a stretch.
 */
import { betweenGaps } from './between-gaps.ts';

export interface SpikeRule {
  /** Least distance from the line between the neighbours, in the signal's unit. */
  readonly least: number;
  /** ...and this many times the robust spread of that distance nearby. */
  readonly spreads: number;
}

export interface Spike {
  readonly index: number;
  readonly was: number;
  readonly is: number;
}

/** Samples on each side that tell how rough the signal is: long enough for a median, short for a phase. */
const NEARBY = 25;
/** The neighbours, and theirs, must lie this much closer together than the spike is high. */
const CALM = 1 / 4;
/** Median absolute deviation to standard deviation of a Gaussian: 1 / 0.67449 (Hampel 1974). */
const SPREAD_OF_MAD = 1.4826;

/** The replacement is the mean of the two neighbours; everything else is bit for bit the input. */
export function repairSpikes(
  x: Float64Array,
  rule: SpikeRule,
): { readonly repaired: Float64Array; readonly spikes: readonly Spike[] } {
  const repaired = x.slice();
  const spikes: Spike[] = [];
  betweenGaps(x, repaired, (from, to) => {
    const start = (from.byteOffset - x.byteOffset) / Float64Array.BYTES_PER_ELEMENT;
    to.set(from);
    for (let i = 2; i < from.length - 2; i += 1) {
      if (!isLoneAndHigh(from, i, rule.least)) continue;
      if (Math.abs(bend(from, i)) <= rule.spreads * spreadNear(from, i)) continue;
      to[i] = (from[i - 1] + from[i + 1]) / 2;
      spikes.push({ index: start + i, was: from[i], is: to[i] });
    }
  });
  return { repaired, spikes };
}

/** Height above the line between the two neighbours. */
function bend(x: Float64Array, i: number): number {
  return x[i] - (x[i - 1] + x[i + 1]) / 2;
}

/** A wider peak fails here: one of its neighbours is far from the next sample outward. */
function isLoneAndHigh(x: Float64Array, i: number, least: number): boolean {
  const height = Math.abs(bend(x, i));
  const calm = CALM * height;
  return (
    height > least &&
    Math.abs(x[i + 1] - x[i - 1]) <= calm &&
    Math.abs(x[i - 1] - x[i - 2]) <= calm &&
    Math.abs(x[i + 2] - x[i + 1]) <= calm
  );
}

function spreadNear(x: Float64Array, i: number): number {
  const bends: number[] = [];
  for (let k = Math.max(1, i - NEARBY); k < Math.min(x.length - 1, i + NEARBY + 1); k += 1) {
    if (Math.abs(k - i) > 1) bends.push(Math.abs(bend(x, k)));
  }
  bends.sort((a, b) => a - b);
  return SPREAD_OF_MAD * (bends[bends.length >> 1] ?? 0);
}
