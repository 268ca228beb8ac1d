/** The converter is at its end: the true value is somewhere beyond, and unknown. */
import type { QuantityName } from '../block/block.ts';
import type { Flag } from './flag.ts';
import type { LiveContext, LiveFlag, Watcher } from './index.ts';
import { ANY } from './scan.ts';
import { columnWords, NO_FLAGS, together } from './watchers.ts';

/** Share of the converter's span that counts as its end; less than a step of 16 bits. */
const END_SHARE = 1e-6;

export const saturated: LiveFlag = {
  kind: 'saturated',
  priority: 'medium',
  about: 'A channel is at an end of its converter: what it reads is cut off.',
  create(context) {
    return together(
      [...context.converterEnds].map(([column, ends]) => watchColumn(column, ends, context)),
    );
  },
};

function watchColumn(
  column: QuantityName,
  ends: readonly [number, number],
  { rate_Hz, thresholds }: LiveContext,
): Watcher {
  const least = Math.min(...ends);
  const most = Math.max(...ends);
  const margin = (most - least) * END_SHARE;
  const [low, high] = [least + margin, most - margin];
  const fewest = Math.max(2, Math.ceil(thresholds.saturated_s * rate_Hz));
  /** Which end it is at: 1, -1, or 0 while inside. */
  let side: 1 | -1 | 0 = 0;
  let start = 0;
  let isTold = false;
  let newest = 0;

  function flag(end: number): Flag {
    const limit = side === 1 ? most : least;
    return saturatedFlag(column, limit, start / rate_Hz, end / rate_Hz);
  }

  function leave(at: number, out: Flag[]): void {
    if (isTold) out.push(flag(at));
    side = 0;
    isTold = false;
  }

  function step(value: number, at: number, out: Flag[]): void {
    const now = value >= high ? 1 : value <= low ? -1 : 0;
    if (now !== side) {
      leave(at, out);
      side = now;
      start = at;
    }
    if (side === 0 || isTold || at - start + 1 < fewest) return;
    isTold = true;
    out.push(flag(start));
  }

  return {
    // Just at the edge counts as quiet for the scan but as an end here: step a little inside it.
    quiet: new Map([[column, { ...ANY, least: low + margin, most: high - margin }]]),
    push(scan) {
      newest = scan.index + scan.n;
      const seen = scan.column(column);
      if (seen === null) return NO_FLAGS;
      if (side === 0 && seen.isQuiet) return NO_FLAGS;
      const out: Flag[] = [];
      if (scan.isBroken) leave(scan.expected, out);
      for (let i = 0; i < scan.n; i += 1) step(seen.values[i], scan.index + i, out);
      return out;
    },
    end() {
      const out: Flag[] = [];
      leave(newest, out);
      return out;
    },
  };
}

/** For a stretch known to be cut off; `limit` is where it is cut, in the column's own unit. */
export function saturatedFlag(
  column: QuantityName,
  limit: number,
  start_s: number,
  end_s: number,
): Flag {
  const { name, unit, written } = columnWords(column);
  return {
    kind: 'saturated',
    priority: 'medium',
    start_s,
    end_s,
    value: limit,
    limit,
    unit,
    message: `The ${name} channel is at its end (${written(limit)}): the true value is beyond it.`,
  };
}
