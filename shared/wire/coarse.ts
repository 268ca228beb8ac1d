/**
 * Coarse blocks for a client that fell behind: of every ten samples only the least and the greatest,
 * so that a peak is still seen. A tenth of the bytes in a fifth of the messages; never for recording.
 */
import type { LiveBlockSource } from './block-codec.ts';

/** A pair stands for 2 * STEP samples. */
const STEP = 5;
/** A coarse block leaves when it holds this much. */
const SPAN_s = 0.1;

export interface Coarsener {
  /** The blocks that became full: none, one, or two when a gap cut one short. */
  push(block: LiveBlockSource): readonly LiveBlockSource[];
}

/** NaN samples are left out of a pair; a pair of nothing else is NaN. */
export function createCoarsener(): Coarsener {
  let pending: Pending | null = null;

  return {
    push(block) {
      const done: LiveBlockSource[] = [];
      const isNext = pending !== null && !block.afterGap && fits(pending, block);
      if (pending && !isNext) done.push(...finish(pending));
      if (!pending || !isNext) pending = begin(block);
      add(pending, block);
      const wanted = Math.max(1, Math.ceil((block.rate_Hz * SPAN_s) / (2 * STEP)));
      if (pending.nPairs >= wanted && pending.nInPair === 0) {
        done.push(...finish(pending));
        pending = null;
      }
      return done;
    },
  };
}

interface Pending {
  readonly index: number;
  readonly rate_Hz: number;
  readonly afterGap: boolean;
  readonly columns: number[][];
  arrival_ms: number;
  /** Sample that would come next. */
  end: number;
  /** Whole pairs, and samples of the pair under way. */
  nPairs: number;
  nInPair: number;
}

function begin(block: LiveBlockSource): Pending {
  return {
    index: block.index,
    rate_Hz: block.rate_Hz,
    afterGap: block.afterGap,
    columns: block.columns.map(() => []),
    arrival_ms: block.arrival_ms,
    end: block.index,
    nPairs: 0,
    nInPair: 0,
  };
}

function fits(pending: Pending, block: LiveBlockSource): boolean {
  const isSameShape = pending.columns.length === block.columns.length;
  return isSameShape && pending.end === block.index && pending.rate_Hz === block.rate_Hz;
}

function add(pending: Pending, block: LiveBlockSource): void {
  const startInPair = pending.nInPair;
  pending.columns.forEach((pairs, c) =>
    addColumn(pairs, startInPair, block.columns[c] ?? [], block.n),
  );
  const inPair = startInPair + block.n;
  pending.nPairs += Math.floor(inPair / (2 * STEP));
  pending.nInPair = inPair % (2 * STEP);
  pending.end += block.n;
  pending.arrival_ms = block.arrival_ms;
}

function addColumn(
  pairs: number[],
  startInPair: number,
  values: ArrayLike<number>,
  n: number,
): void {
  let inPair = startInPair;
  for (let i = 0; i < n; i += 1) {
    if (inPair === 0) pairs.push(NaN, NaN);
    const value = values[i] ?? NaN;
    const at = pairs.length - 2;
    const least = pairs[at] ?? NaN;
    const greatest = pairs[at + 1] ?? NaN;
    if (!(least <= value)) pairs[at] = Number.isNaN(value) ? least : value;
    if (!(greatest >= value)) pairs[at + 1] = Number.isNaN(value) ? greatest : value;
    inPair = (inPair + 1) % (2 * STEP);
  }
}

/** A pair cut short by a gap is left out, so that every pair stands for as many samples. */
function finish(pending: Pending): LiveBlockSource[] {
  if (pending.nPairs === 0) return [];
  const { index, rate_Hz, afterGap, arrival_ms, columns, nPairs } = pending;
  return [{ index, n: 2 * nPairs, step: STEP, rate_Hz, arrival_ms, afterGap, columns }];
}
