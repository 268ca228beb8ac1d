/**
 * Watches one column against rising levels on both sides (near, beyond). A climb to a higher level ends
 * the lower one's flag; falling back ends the flag only past the hysteresis below the lowest level.
 */
import type { Block, QuantityName } from '../block/block.ts';
import type { Flag } from './flag.ts';
import type { FlagWatcher } from './index.ts';

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

export const NO_FLAGS: readonly Flag[] = [];

/** NaN samples change nothing. No rungs: never a flag. */
export function watchLadder(
  column: QuantityName,
  rungs: readonly Rung[],
  release: number,
  rate_Hz: number,
): FlagWatcher {
  const upper = rungs[0]?.upper ?? Number.POSITIVE_INFINITY;
  const lower = rungs[0]?.lower ?? Number.NEGATIVE_INFINITY;
  let rung: Rung | null = null;
  let height = -1;
  let side: 1 | -1 = 1;
  let worst = 0;
  let start = 0;
  let newest = 0;

  function flag(end: number): Flag | null {
    return (
      rung?.make({
        value: worst,
        limit: side === 1 ? rung.upper : rung.lower,
        side,
        start_s: start / rate_Hz,
        end_s: end / rate_Hz,
      }) ?? null
    );
  }

  function close(at: number, out: Flag[]): void {
    const over = flag(at);
    if (over !== null) out.push(over);
    rung = null;
    height = -1;
  }

  function climb(value: number, at: number, out: Flag[]): void {
    const newSide = value > upper ? 1 : -1;
    let reached = height;
    while (
      reached + 1 < rungs.length &&
      (newSide === 1 ? value > rungs[reached + 1].upper : value < rungs[reached + 1].lower)
    ) {
      reached += 1;
    }
    if (reached === height) return;
    close(at, out);
    [rung, height, side, worst, start] = [rungs[reached], reached, newSide, value, at];
    const begun = flag(at);
    if (begun !== null) out.push(begun);
  }

  function step(value: number, at: number, out: Flag[]): void {
    const isBack = side === 1 ? value < upper - release : value > lower + release;
    if (isBack) close(at, out);
    else if (side * value > side * worst) worst = value;
    if (value > upper || value < lower) climb(value, at, out);
  }

  return {
    push(block: Block) {
      const values = block.columns.get(column);
      if (values === undefined || rungs.length === 0) return NO_FLAGS;
      let out: Flag[] | null = null;
      for (let i = 0; i < block.n; i += 1) {
        const value = values[i];
        if (rung === null && !(value > upper || value < lower)) continue;
        step(value, block.index + i, (out ??= []));
      }
      newest = block.index + block.n;
      return out ?? NO_FLAGS;
    },
    end() {
      const out: Flag[] = [];
      close(newest, out);
      return out;
    },
  };
}
