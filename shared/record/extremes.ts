/**
 * Least and largest value of every channel in cells of equal length along a stream file: enough to
 * draw hours at once. One level is enough: a screen's width from all cells is a fraction of a millisecond.
 */
import type { SampleType } from '../block/block.ts';
import { presentRuns, type BlockHead } from './block-codec.ts';
import { viewOf } from './bytes.ts';
import type { BlockLayout } from './layout.ts';

/** Ten times the pixels of a wide screen; 1 MiB a channel, whatever the length of the recording. */
const MOST_CELLS = 1 << 17;
const LEAST_CELL = 64;

export interface Extremes {
  /** Index of the first sample of cell 0. */
  readonly firstIndex: number;
  /** Samples a cell: a power of two. */
  readonly cellSamples: number;
  readonly nCells: number;
  /** One array a channel, rounded to float32; Infinity where a cell has no sample. */
  readonly min: readonly Float32Array[];
  /** -Infinity where a cell has no sample. */
  readonly max: readonly Float32Array[];
}

export function emptyExtremes(firstIndex: number, endIndex: number, nChannels: number): Extremes {
  let cellSamples = LEAST_CELL;
  while ((endIndex - firstIndex) / cellSamples > MOST_CELLS) cellSamples *= 2;
  const nCells = Math.ceil((endIndex - firstIndex) / cellSamples);
  const filled = (value: number) =>
    Array.from({ length: nChannels }, () => new Float32Array(nCells).fill(value));
  const [min, max] = [filled(Infinity), filled(-Infinity)];
  return { firstIndex, cellSamples, nCells, min, max };
}

/** Takes a sound block in; its samples must lie between the two indices. */
export function addBlock(
  extremes: Extremes,
  bytes: Uint8Array,
  head: BlockHead,
  layout: BlockLayout,
): void {
  const view = viewOf(bytes);
  const start = head.index - extremes.firstIndex;
  presentRuns(bytes, head, layout, (first, end) => {
    for (let from = first; from < end;) {
      const cell = Math.floor((start + from) / extremes.cellSamples);
      const to = Math.min(end, (cell + 1) * extremes.cellSamples - start);
      layout.columns.forEach(({ stored, offset, bytes: width }, c) => {
        const [min, max] = [extremes.min[c], extremes.max[c]];
        if (min === undefined || max === undefined) return;
        const range = extremesOf(view, stored, offset + from * width, to - from);
        if (range.min < (min[cell] ?? 0)) min[cell] = range.min;
        if (range.max > (max[cell] ?? 0)) max[cell] = range.max;
      });
      from = to;
    }
  });
}

function extremesOf(
  view: DataView,
  type: SampleType,
  at: number,
  n: number,
): { min: number; max: number } {
  let min = Infinity;
  let max = -Infinity;
  for (let i = 0; i < n; i += 1) {
    const value = valueAt(view, type, at, i);
    if (value < min) min = value;
    if (value > max) max = value;
  }
  return { min, max };
}

function valueAt(view: DataView, type: SampleType, at: number, i: number): number {
  switch (type) {
    case 'int16':
      return view.getInt16(at + 2 * i, true);
    case 'int24':
      return view.getUint16(at + 3 * i, true) | (view.getInt8(at + 3 * i + 2) << 16);
    case 'float32':
      return view.getFloat32(at + 4 * i, true);
    case 'float64':
      return view.getFloat64(at + 8 * i, true);
  }
}
