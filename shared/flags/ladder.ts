/**
 * Watches one column against rising levels on both sides (near, beyond). A climb to a higher level ends
 * the lower one's flag; falling back ends the flag only past the hysteresis below the lowest level.
 */
import type { QuantityName } from '../block/block.ts';
import type { Flag } from './flag.ts';
import type { Watcher } from './index.ts';
import { ANY } from './scan.ts';
import { NO_FLAGS } from './watchers.ts';

export interface Crossing {
  /** The worst value since it began. */
  readonly value: number;
  readonly limit: number;
  /** 1 past the upper level, -1 past the lower. */
  readonly side: 1 | -1;
  readonly start_s: number;
  readonly end_s: number;
}

export interface Rung {
  /** Strictly above `upper` or below `lower` begins it. Later rungs lie further out. */
  readonly upper: number;
  readonly lower: number;
  make(crossing: Crossing): Flag;
}

/** NaN samples change nothing. No rungs: never a flag. */
export function watchLadder(
  column: QuantityName,
  rungs: readonly Rung[],
  release: number,
  rate_Hz: number,
): Watcher {
  const upper = rungs[0]?.upper ?? Number.POSITIVE_INFINITY;
  const lower = rungs[0]?.lower ?? Number.NEGATIVE_INFINITY;
  /** How many rungs up it is; 0 while inside. */
  let height = 0;
  let side: 1 | -1 = 1;
  let worst = 0;
  let start = 0;
  let newest = 0;

  function flag(end: number): Flag {
    const rung = rungs[height - 1];
    return rung.make({
      value: worst,
      limit: side === 1 ? rung.upper : rung.lower,
      side,
      start_s: start / rate_Hz,
      end_s: end / rate_Hz,
    });
  }

  function close(at: number, out: Flag[]): void {
    if (height > 0) out.push(flag(at));
    height = 0;
  }

  /** The highest rung that the value is past, on the side where it is. */
  function heightOf(value: number): number {
    return value > upper
      ? rungs.filter((rung) => value > rung.upper).length
      : rungs.filter((rung) => value < rung.lower).length;
  }

  function step(value: number, at: number, out: Flag[]): void {
    if (height > 0) {
      const isBack = side === 1 ? value < upper - release : value > lower + release;
      if (isBack) close(at, out);
      else if (side * value > side * worst) worst = value;
    }
    const reached = heightOf(value);
    if (reached <= height) return;
    close(at, out);
    [height, side, worst, start] = [reached, value > upper ? 1 : -1, value, at];
    out.push(flag(at));
  }

  return {
    quiet: new Map([[column, { ...ANY, least: lower, most: upper }]]),
    push(scan) {
      newest = scan.index + scan.n;
      const seen = scan.column(column);
      if (seen === null) return NO_FLAGS;
      if (height === 0 && seen.isQuiet) return NO_FLAGS;
      const out: Flag[] = [];
      for (let i = 0; i < scan.n; i += 1) {
        const value = seen.values[i];
        if (height > 0 || value > upper || value < lower) step(value, scan.index + i, out);
      }
      return out;
    },
    end() {
      const out: Flag[] = [];
      close(newest, out);
      return out;
    },
  };
}
