/**
 * A lone sample (or two) far from its neighbours: an electrical spike, not a movement. A knock against a
 * stop lasts longer and is not told here. Known four samples later, the same however the stream is cut.
 */
import type { Block, QuantityName } from '../block/block.ts';
import { createBurst, type Events } from './burst.ts';
import type { Flag } from './flag.ts';
import type { FlagWatcher, LiveContext, LiveFlag } from './index.ts';
import { NO_FLAGS } from './ladder.ts';
import { isBroken } from './run.ts';
import { counted, tenths } from './words.ts';

/** Samples on each side of the one that is judged. */
const REACH = 4;
const WINDOW = 2 * REACH + 1;
/** A power of two that holds the window. */
const RING = 16;
/** Of the nine, this many must lie quietly about their median: the spike itself is one or two. */
const QUIET = WINDOW - 2;
/** Share of a jump that enters the running mean of jumps: remembers about 250 samples. */
const MEMORY = 1 / 256;

export const spike: LiveFlag = {
  kind: 'spike',
  priority: 'low',
  about: 'One or two samples jump far from their neighbours and back.',
  create(context) {
    const watchers = [
      watchColumn('torque_Nm', context.thresholds.spike_Nm, context),
      watchColumn('angle_deg', context.thresholds.spike_deg, context),
    ];
    return {
      push: (block) => watchers.flatMap((watcher) => watcher.push(block)),
      end: () => watchers.flatMap((watcher) => watcher.end()),
    };
  },
};

function watchColumn(
  column: QuantityName,
  least: number,
  { rate_Hz, thresholds }: LiveContext,
): FlagWatcher {
  const ring = new Float64Array(RING);
  const sorted = new Float64Array(WINDOW);
  let filled = 0;
  let expected = -1;
  let previous = Number.NaN;
  let candidate = -1;
  let usualJump = 0;
  const burst = createBurst(thresholds.gapMerge_s, rate_Hz, (events) =>
    spikeFlag(column, least, events),
  );

  /** Distance of sample `candidate` from the median of its nine; 0 when it is no lone spike. */
  function distanceOfSpike(limit: number): number {
    for (let k = 0; k < WINDOW; k += 1) sorted[k] = ring[(candidate - REACH + k) & (RING - 1)];
    const distance = sorted[REACH];
    sorted.sort();
    const median = sorted[REACH];
    let nQuiet = 0;
    for (let k = 0; k < WINDOW; k += 1) {
      if (Math.abs(sorted[k] - median) <= limit / 2) nQuiet += 1;
    }
    return nQuiet >= QUIET && Math.abs(distance - median) > limit ? Math.abs(distance - median) : 0;
  }

  function forget(): void {
    filled = 0;
    previous = Number.NaN;
  }

  function judge(out: Flag[]): void {
    const limit = Math.max(least, thresholds.spikeNoise_factor * usualJump);
    const distance = filled >= WINDOW ? distanceOfSpike(limit) : 0;
    if (distance > 0) burst.hit(candidate, candidate + 1, distance, out);
  }

  function step(value: number, at: number, out: Flag[]): void {
    const jump = Math.abs(value - previous);
    previous = value;
    ring[at & (RING - 1)] = value;
    filled += 1;
    // A jump out is a candidate; the jump back within the window belongs to it.
    if (jump > least / 2) {
      if (at > candidate + REACH) candidate = at;
    } else if (filled > 1) usualJump += MEMORY * (jump - usualJump);
    if (at === candidate + REACH) judge(out);
  }

  return {
    push(block: Block) {
      const values = block.columns.get(column);
      if (values === undefined) return NO_FLAGS;
      const out: Flag[] = [];
      if (isBroken(block, expected)) forget();
      for (let i = 0; i < block.n; i += 1) {
        const at = block.index + i;
        if (values[i] === values[i]) step(values[i], at, out);
        else forget();
        burst.pass(at, out);
      }
      expected = block.index + block.n;
      return out;
    },
    end() {
      const out: Flag[] = [];
      burst.end(out);
      return out;
    },
  };
}

function spikeFlag(column: QuantityName, least: number, events: Events): Flag {
  const [name = column, unit = ''] = column.split('_');
  return {
    kind: 'spike',
    priority: 'low',
    start_s: events.start_s,
    end_s: events.end_s,
    value: events.worst,
    limit: least,
    unit,
    message: `${counted(events.count, 'electrical spike')} in ${name}, largest ${tenths(events.worst)} ${unit}.`,
  };
}
