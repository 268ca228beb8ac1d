/**
 * Least and largest value of every channel in cells of equal length along a stream file: enough to
 * draw hours at once. One level is enough: a screen's width from all cells is a fraction of a millisecond.
 */
import type { SampleType } from '../block/block.ts';
import { getInt24, presentRuns, type BlockHead } from './block-codec.ts';
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

/** Samples a cell for so many samples, holes included. */
export function cellSamplesFor(nSamples: number): number {
  let cellSamples = LEAST_CELL;
  while (nSamples / cellSamples > MOST_CELLS) cellSamples *= 2;
  return cellSamples;
}

export function emptyExtremes(firstIndex: number, endIndex: number, nChannels: number): Extremes {
  const cellSamples = cellSamplesFor(endIndex - firstIndex);
  const nCells = Math.ceil((endIndex - firstIndex) / cellSamples);
  const filled = (value: number) =>
    Array.from({ length: nChannels }, () => new Float32Array(nCells).fill(value));
  return { firstIndex, cellSamples, nCells, min: filled(Infinity), max: filled(-Infinity) };
}

/** Takes a sound block in; its samples must lie between the two indices. */
export function addBlock(
  extremes: Extremes,
  bytes: Uint8Array,
  head: BlockHead,
  layout: BlockLayout,
): void {
  const view = viewOf(bytes);
  const { cellSamples, min, max } = extremes;
  const start = head.index - extremes.firstIndex;
  presentRuns(bytes, head, layout, (first, end) => {
    for (let from = first; from < end;) {
      const cell = Math.floor((start + from) / cellSamples);
      const to = Math.min(end, (cell + 1) * cellSamples - start);
      for (let c = 0; c < layout.columns.length; c += 1) {
        const column = layout.columns[c];
        const [least, most] = [min[c], max[c]];
        if (column === undefined || least === undefined || most === undefined) continue;
        const at = column.offset + from * column.bytes;
        widen(view, column.stored, at, to - from, least, most, cell);
      }
      from = to;
    }
  });
}

/** A loop for each type and nothing else in it: this is where an overview spends its time. */
function widen(
  view: DataView,
  type: SampleType,
  at: number,
  n: number,
  least: Float32Array,
  most: Float32Array,
  cell: number,
): void {
  let min = least[cell] ?? Infinity;
  let max = most[cell] ?? -Infinity;
  if (type === 'int16') {
    for (let k = at; k < at + 2 * n; k += 2) {
      const value = view.getInt16(k, true);
      if (value < min) min = value;
      if (value > max) max = value;
    }
  } else if (type === 'int24') {
    for (let k = at; k < at + 3 * n; k += 3) {
      const value = getInt24(view, k);
      if (value < min) min = value;
      if (value > max) max = value;
    }
  } else if (type === 'float32') {
    for (let k = at; k < at + 4 * n; k += 4) {
      const value = view.getFloat32(k, true);
      if (value < min) min = value;
      if (value > max) max = value;
    }
  } else {
    for (let k = at; k < at + 8 * n; k += 8) {
      const value = view.getFloat64(k, true);
      if (value < min) min = value;
      if (value > max) max = value;
    }
  }
  least[cell] = min;
  most[cell] = max;
}
