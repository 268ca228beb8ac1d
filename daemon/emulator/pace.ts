/**
 * How many samples are due by a clock that never steps back. Nothing drifts: the count follows the
 * time since the start, and what a stall left undone is caught up, at most one second of it.
 */

export interface Pace {
  /** Whole pieces due now and not yet taken; taking them counts them as done. */
  take(now_ns: number): Due;
  /** Milliseconds from now until the next piece is due. */
  wait_ms(now_ns: number): number;
}

export interface Due {
  /** Pieces that a stall of more than a second cost: made, but not to be sent. */
  readonly late: number;
  readonly pieces: number;
}

export interface PaceOptions {
  /** Pieces a second. */
  readonly pieceRate_Hz: number;
  /** Multiple of real time, above 0. */
  readonly speedFactor: number;
  /** How fast the device's own clock runs, parts per million. */
  readonly ppm: number;
  readonly start_ns: number;
}

const MOST_CATCH_UP_S = 1;

export function createPace({ pieceRate_Hz, speedFactor, ppm, start_ns }: PaceOptions): Pace {
  const rate_Hz = pieceRate_Hz * speedFactor * (1 + ppm * 1e-6);
  const mostPieces = Math.ceil(MOST_CATCH_UP_S * rate_Hz);
  let done = 0;
  return {
    take(now_ns) {
      const due = Math.floor(((now_ns - start_ns) / 1e9) * rate_Hz) - done;
      if (due <= 0) return { late: 0, pieces: 0 };
      done += due;
      const pieces = Math.min(due, mostPieces);
      return { late: due - pieces, pieces };
    },
    wait_ms(now_ns) {
      return Math.max(0, ((done + 1) / rate_Hz) * 1e3 - (now_ns - start_ns) / 1e6);
    },
  };
}
