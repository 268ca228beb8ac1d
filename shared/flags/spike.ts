/**
 * A lone sample (or two) far from its neighbours: an electrical spike, not a movement. A knock against a
 * stop lasts longer and is not told here. Known four samples later, the same however the stream is cut.
 */
import type { QuantityName } from '../block/block.ts';
import { createBurst, type Events } from './burst.ts';
import type { Flag } from './flag.ts';
import type { LiveContext, LiveFlag, Watcher } from './index.ts';
import { ANY, type ColumnScan, type Scan } from './scan.ts';
import { columnWords, NO_FLAGS, together } from './watchers.ts';
import { counted } from './words.ts';

/** Samples on each side of the one that is judged. */
const REACH = 4;
const WINDOW = 2 * REACH + 1;
/** Of the nine, this many must lie quietly about their median: the spike itself is one or two. */
const QUIET = WINDOW - 2;
/** The usual jump between samples is learnt from every 16th (a power of two), over some 256. */
const NOISE_STRIDE = 16;
const NOISE_MEMORY = 1 / 16;

export const spike: LiveFlag = {
  kind: 'spike',
  priority: 'low',
  about: 'One or two samples jump far from their neighbours and back.',
  create(context) {
    return together([
      watchColumn('torque_Nm', context.thresholds.spike_Nm, context),
      watchColumn('angle_deg', context.thresholds.spike_deg, context),
    ]);
  },
};

function watchColumn(
  column: QuantityName,
  least: number,
  { rate_Hz, thresholds }: LiveContext,
): Watcher {
  /** The newest samples of the blocks before, oldest first; NaN where there is none. */
  const tail = new Float64Array(WINDOW).fill(Number.NaN);
  const window = new Float64Array(WINDOW);
  const suspicious = least / 2;
  const noise = { jump: 0 };
  let candidate = -WINDOW;
  const burst = createBurst(thresholds.gapMerge_s, rate_Hz, (events) =>
    spikeFlag(column, least, events),
  );

  /** Learns the usual jump from every 16th sample of the stream, whatever blocks it comes in. */
  function learn(jump: number): void {
    // A spike counts as no more than a large jump, or it would hide the next one.
    if (jump >= 0) noise.jump += NOISE_MEMORY * (Math.min(jump, least) - noise.jump);
  }

  function pass({ values }: ColumnScan, { index, n }: Scan): void {
    for (let i = -index & (NOISE_STRIDE - 1); i < n; i += NOISE_STRIDE) {
      learn(Math.abs(values[i] - (i > 0 ? values[i - 1] : tail[WINDOW - 1])));
    }
  }

  function judge(values: Float64Array, index: number, out: Flag[]): void {
    const first = candidate - REACH - index;
    for (let k = 0; k < WINDOW; k += 1) {
      const i = first + k;
      window[k] = i < 0 ? tail[WINDOW + i] : values[i];
    }
    const height = spikeHeight(window, Math.max(least, thresholds.spikeNoise_factor * noise.jump));
    if (height > 0) burst.hit(candidate, candidate + 1, height, out);
  }

  function search({ values }: ColumnScan, { index, n }: Scan, out: Flag[]): void {
    let previous = tail[WINDOW - 1];
    for (let i = 0; i < n; i += 1) {
      const at = index + i;
      const jump = Math.abs(values[i] - previous);
      // A jump out is a candidate; the jump back within reach belongs to it.
      if (jump > suspicious && at > candidate + REACH) candidate = at;
      if (at === candidate + REACH) judge(values, index, out);
      if ((at & (NOISE_STRIDE - 1)) === 0) learn(jump);
      previous = values[i];
    }
  }

  /** A window begins at most `REACH` samples before its candidate: that many are enough when quiet. */
  function keepTail(values: Float64Array, n: number, wanted: number): void {
    if (n < wanted) tail.copyWithin(0, n);
    const kept = Math.min(n, wanted);
    for (let k = WINDOW - kept; k < WINDOW; k += 1) tail[k] = values[n - WINDOW + k];
  }

  return {
    quiet: new Map([[column, { ...ANY, jump: suspicious }]]),
    push(scan) {
      const seen = scan.column(column);
      if (seen === null) return NO_FLAGS;
      if (scan.isBroken) tail.fill(Number.NaN);
      const isWaiting = candidate + REACH >= scan.index || burst.isOpen;
      if (seen.isQuiet && !isWaiting) {
        pass(seen, scan);
        keepTail(seen.values, scan.n, REACH);
        return NO_FLAGS;
      }
      const out: Flag[] = [];
      search(seen, scan, out);
      keepTail(seen.values, scan.n, WINDOW);
      burst.pass(scan.index + scan.n - REACH, out);
      return out;
    },
    end() {
      const out: Flag[] = [];
      burst.end(out);
      return out;
    },
  };
}

/**
 * Distance of the middle sample from the median of the nine; 0 when it is no lone spike above the limit,
 * or when a sample is missing. Sorts the window.
 */
function spikeHeight(window: Float64Array, limit: number): number {
  const middle = window[REACH];
  window.sort();
  if (Number.isNaN(window[WINDOW - 1])) return 0;
  const median = window[REACH];
  let nQuiet = 0;
  for (const value of window) if (Math.abs(value - median) <= limit / 2) nQuiet += 1;
  const height = Math.abs(middle - median);
  return nQuiet >= QUIET && height > limit ? height : 0;
}

function spikeFlag(column: QuantityName, least: number, events: Events): Flag {
  const { name, unit, written } = columnWords(column);
  return {
    kind: 'spike',
    priority: 'low',
    start_s: events.start_s,
    end_s: events.end_s,
    value: events.worst,
    limit: least,
    unit,
    message: `${counted(events.count, 'electrical spike')} in ${name}, largest ${written(events.worst)}.`,
  };
}
