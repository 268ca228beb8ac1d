/** The converter is at its end: the true value is somewhere beyond, and unknown. */
import type { Block, QuantityName } from '../block/block.ts';
import type { Flag } from './flag.ts';
import type { FlagWatcher, LiveContext, LiveFlag } from './index.ts';
import { NO_FLAGS } from './ladder.ts';
import { createRuns, isBroken, type Runs } from './run.ts';
import { tenths } from './words.ts';

/** Share of the converter's span that counts as its end; less than a step of 16 bits. */
const END_SHARE = 1e-6;

export const saturated: LiveFlag = {
  kind: 'saturated',
  priority: 'medium',
  about: 'A channel is at an end of its converter: what it reads is cut off.',
  create(context) {
    const watchers = [...context.converterEnds].map(([column, ends]) =>
      watchColumn(column, ends, context),
    );
    return {
      push: (block) => (watchers.length === 0 ? NO_FLAGS : watchers.flatMap((w) => w.push(block))),
      end: () => watchers.flatMap((w) => w.end()),
    };
  },
};

function watchColumn(
  column: QuantityName,
  ends: readonly [number, number],
  { rate_Hz, thresholds }: LiveContext,
): FlagWatcher {
  const [least, most] = ends[0] < ends[1] ? ends : [ends[1], ends[0]];
  const margin = (most - least) * END_SHARE;
  const samples = Math.max(2, Math.ceil(thresholds.saturated_s * rate_Hz));
  const runsAt = (limit: number): Runs =>
    createRuns({
      samples,
      make: (start, end) => saturatedFlag(column, limit, start / rate_Hz, end / rate_Hz),
    });
  const low = runsAt(least);
  const high = runsAt(most);
  let expected = -1;
  return {
    push(block: Block) {
      const values = block.columns.get(column);
      if (values === undefined) return NO_FLAGS;
      const out: Flag[] = [];
      if (isBroken(block, expected)) closeBoth(out);
      for (let i = 0; i < block.n; i += 1) {
        const isHigh = values[i] >= most - margin;
        const isLow = values[i] <= least + margin;
        if (!isHigh && !isLow && !high.isOpen && !low.isOpen) continue;
        high.step(isHigh, block.index + i, out);
        low.step(isLow, block.index + i, out);
      }
      expected = block.index + block.n;
      return out;
    },
    end() {
      const out: Flag[] = [];
      closeBoth(out);
      return out;
    },
  };

  function closeBoth(out: Flag[]): void {
    high.close(expected, out);
    low.close(expected, out);
  }
}

/** For a stretch known to be cut off; `limit` is where it is cut, in the column's own unit. */
export function saturatedFlag(
  column: QuantityName,
  limit: number,
  start_s: number,
  end_s: number,
): Flag {
  const [name = column, unit = ''] = column.split('_');
  return {
    kind: 'saturated',
    priority: 'medium',
    start_s,
    end_s,
    value: limit,
    limit,
    unit,
    message: `The ${name} channel is at its end (${tenths(limit)} ${unit}): the true value is beyond it.`,
  };
}
