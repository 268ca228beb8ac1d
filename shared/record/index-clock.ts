/**
 * Seconds since a recording's first sample for any index of its stream, over changes of the rate.
 * A hole between two rates counts at the later one, as the stream's index did when it was estimated.
 */

export type IndexClock = (index: number) => number;

/** Samples of one file: [firstIndex, endIndex) at one rate. */
export interface RatedSpan {
  readonly firstIndex: number;
  readonly endIndex: number;
  readonly rate_Hz: number;
}

interface Leg {
  readonly fromIndex: number;
  readonly from_s: number;
  readonly rate_Hz: number;
}

/** `spans` in the order of the files; time is 0 at `firstIndex`. */
export function createIndexClock(spans: readonly RatedSpan[], firstIndex: number): IndexClock {
  const legs: Leg[] = [];
  let end = firstIndex;
  for (const { endIndex, rate_Hz } of spans) {
    const last = legs.at(-1);
    if (last === undefined) legs.push({ fromIndex: firstIndex, from_s: 0, rate_Hz });
    else if (last.rate_Hz !== rate_Hz) {
      legs.push({ fromIndex: end, from_s: secondsAt(last, end), rate_Hz });
    }
    end = Math.max(end, endIndex);
  }
  return (index) => {
    const leg = legs.findLast(({ fromIndex }) => fromIndex <= index) ?? legs[0];
    return leg === undefined ? 0 : secondsAt(leg, index);
  };
}

function secondsAt({ fromIndex, from_s, rate_Hz }: Leg, index: number): number {
  return from_s + (index - fromIndex) / rate_Hz;
}
