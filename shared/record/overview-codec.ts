/**
 * The file of extremes beside a stream file. Derived: it may be deleted and is made again.
 *
 * | offset | type      | what                                                              |
 * |--------|-----------|-------------------------------------------------------------------|
 * | 0      | u8[8]     | `MOMNVIEW`                                                        |
 * | 8      | u32       | version of this layout, 1                                         |
 * | 12     | u32       | nonce of the stream file it was made from                         |
 * | 16     | i64       | length of that file in bytes                                      |
 * | 24     | i64       | index of the first sample of cell 0                               |
 * | 32     | u32       | samples a cell                                                    |
 * | 36     | u32       | N, cells                                                          |
 * | 40     | u32       | channels                                                          |
 * | 44     | f32[N] x2 | least, then largest values of the first channel, then of the next |
 * | end-4  | u32       | CRC-32 of all bytes before it                                     |
 *
 * A cell without samples has Infinity as its least and -Infinity as its largest value.
 */
import { asciiBytes, asciiText } from '../decode/ascii.ts';
import { getI64, setI64, viewOf, type Crc32 } from './bytes.ts';
import type { Extremes } from './extremes.ts';

const MAGIC = 'MOMNVIEW';
const VERSION = 1;
const HEAD_BYTES = 44;
const CRC_BYTES = 4;

/** What the overview was made from: another file has another nonce or length. */
export interface OverviewOrigin {
  readonly nonce: number;
  readonly bytes: number;
}

export function encodeOverview(
  extremes: Extremes,
  origin: OverviewOrigin,
  crc: Crc32,
): Uint8Array<ArrayBuffer> {
  const { nCells, min, max } = extremes;
  const end = HEAD_BYTES + 8 * nCells * min.length;
  const bytes = new Uint8Array(end + CRC_BYTES);
  const view = viewOf(bytes);
  bytes.set(asciiBytes(MAGIC));
  view.setUint32(8, VERSION, true);
  view.setUint32(12, origin.nonce, true);
  setI64(view, 16, origin.bytes);
  setI64(view, 24, extremes.firstIndex);
  view.setUint32(32, extremes.cellSamples, true);
  view.setUint32(36, nCells, true);
  view.setUint32(40, min.length, true);
  min.forEach((least, c) => {
    const at = HEAD_BYTES + 8 * nCells * c;
    bytes.set(new Uint8Array(least.buffer), at);
    bytes.set(new Uint8Array((max[c] ?? least).buffer), at + 4 * nCells);
  });
  view.setUint32(end, crc(bytes.subarray(0, end)), true);
  return bytes;
}

/** Null when it is damaged, of another version, or made from something else. */
export function decodeOverview(
  bytes: Uint8Array,
  origin: OverviewOrigin,
  crc: Crc32,
): Extremes | null {
  const end = bytes.length - CRC_BYTES;
  if (end < HEAD_BYTES || asciiText(bytes, 0, MAGIC.length) !== MAGIC) return null;
  const view = viewOf(bytes);
  const nCells = view.getUint32(36, true);
  const nChannels = view.getUint32(40, true);
  const isOurs =
    view.getUint32(8, true) === VERSION &&
    view.getUint32(12, true) === origin.nonce &&
    getI64(view, 16) === origin.bytes &&
    end === HEAD_BYTES + 8 * nCells * nChannels &&
    view.getUint32(end, true) === crc(bytes.subarray(0, end));
  if (!isOurs) return null;
  const column = (k: number): Float32Array => {
    const at = HEAD_BYTES + 4 * nCells * k;
    // A copy: bytes that were read may be a view of a larger buffer, at any place of it.
    return new Float32Array(new Uint8Array(bytes.subarray(at, at + 4 * nCells)).buffer);
  };
  const channels = Array.from({ length: nChannels }, (_, c) => c);
  return {
    firstIndex: getI64(view, 24),
    cellSamples: view.getUint32(32, true),
    nCells,
    min: channels.map((c) => column(2 * c)),
    max: channels.map((c) => column(2 * c + 1)),
  };
}
