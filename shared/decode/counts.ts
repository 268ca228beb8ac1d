/** The counters of a decoder as it counts them up itself. */
import type { DecoderCounts } from './index.ts';

export type Counting = { -readonly [K in keyof DecoderCounts]: number };

export function noCounts(): Counting {
  return {
    frames: 0,
    damagedFrames: 0,
    unreadBytes: 0,
    samples: 0,
    lostSamples: 0,
    duplicateSamples: 0,
  };
}
