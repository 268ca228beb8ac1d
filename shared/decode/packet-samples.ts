/** Reads the rows of a samples packet into columns of doubles. */
import type { SampleType } from '../block/block.ts';
import { SAMPLE_TYPES } from './packet-layout.ts';

/** Where rows of one value a channel begin, and how many they are. */
export interface Rows {
  readonly type: SampleType;
  readonly at: number;
  readonly n: number;
}

/** Writes them into the columns from `to` on; returns how many were no finite number (now NaN). */
export function readRows(
  view: DataView,
  { type, at: first, n }: Rows,
  columns: readonly Float64Array[],
  to: number,
): number {
  const { bytes } = SAMPLE_TYPES[type];
  const stride = bytes * columns.length;
  const end = to + n;
  let nNotANumber = 0;
  for (let c = 0; c < columns.length; c += 1) {
    const column = columns[c];
    let at = first + c * bytes;
    if (type === 'int16') {
      for (let i = to; i < end; i += 1, at += stride) column[i] = view.getInt16(at, true);
    } else if (type === 'int24') {
      for (let i = to; i < end; i += 1, at += stride) {
        column[i] = view.getUint16(at, true) | (view.getInt8(at + 2) << 16);
      }
    } else {
      for (let i = to; i < end; i += 1, at += stride) {
        const value = type === 'float32' ? view.getFloat32(at, true) : view.getFloat64(at, true);
        const isNumber = Number.isFinite(value);
        column[i] = isNumber ? value : Number.NaN;
        if (!isNumber) nNotANumber += 1;
      }
    }
  }
  return nNotANumber;
}
