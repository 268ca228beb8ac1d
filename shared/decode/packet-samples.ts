/** Reads one channel of a samples packet into a column of doubles. */
import type { SampleType } from '../block/block.ts';

/** Where the values lie: the first at `at`, the next `stride` bytes on, n in all. */
export interface SampleRun {
  readonly type: SampleType;
  readonly at: number;
  readonly stride: number;
  readonly n: number;
}

/** Writes the values from `to` on; returns how many were no finite number (they become NaN). */
export function readColumn(
  view: DataView,
  { type, at: first, stride, n }: SampleRun,
  column: Float64Array,
  to: number,
): number {
  const end = to + n;
  let at = first;
  if (type === 'int16') {
    for (let i = to; i < end; i += 1, at += stride) column[i] = view.getInt16(at, true);
    return 0;
  }
  if (type === 'int24') {
    for (let i = to; i < end; i += 1, at += stride) {
      column[i] = view.getUint16(at, true) | (view.getInt8(at + 2) << 16);
    }
    return 0;
  }
  let nNotANumber = 0;
  for (let i = to; i < end; i += 1, at += stride) {
    const value = type === 'float32' ? view.getFloat32(at, true) : view.getFloat64(at, true);
    const isNumber = Number.isFinite(value);
    column[i] = isNumber ? value : Number.NaN;
    if (!isNumber) nNotANumber += 1;
  }
  return nNotANumber;
}
