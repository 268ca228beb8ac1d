/**
 * A block of a recording: some 100 ms of samples with their own checksums, little-endian.
 *
 * | offset       | type          | what                                                         |
 * |--------------|---------------|--------------------------------------------------------------|
 * | 0            | u8[4]         | `MBLK`                                                       |
 * | 4            | u32           | nonce of the file this block belongs to                      |
 * | 8            | i64           | sequence: 0 for the first block of the file, then 1, 2 ...   |
 * | 16           | i64           | index in the stream of the first sample place                |
 * | 24           | i64           | host's monotonic ns when the last sample arrived             |
 * | 32           | i64           | device's own count at the first sample place                 |
 * | 40           | u32           | run: restarts of the device's clock so far                   |
 * | 44           | u16           | samples present, at least 1                                  |
 * | 46           | u16           | flags: 1 = places inside are empty, 2 = a hole lies before   |
 * | 48           | u32           | CRC-32 of the payload: bytes 56 to the end of the block      |
 * | 52           | u32           | CRC-32 of bytes 0 to 51                                      |
 * | 56           | u8[C/8]       | presence: bit k % 8 of byte k / 8 is place k, then padding   |
 * | then         | type[C] each  | one column a channel, C values; 0 where no sample is present |
 *
 * C is the capacity. int24 values are three bytes. NaN in a float column: the device sent no number.
 */
import type { SampleType, StreamBlock, StreamFormat } from '../block/block.ts';
import { getI64, setI64, viewOf, type Crc32 } from './bytes.ts';
import { BLOCK_HEADER_BYTES, type BlockLayout } from './layout.ts';

/** `MBLK` read as a little-endian u32. */
export const BLOCK_MAGIC = 0x4b4c424d;
export const HAS_HOLES = 1;
export const AFTER_HOLE = 2;
const HEADER_CRC_AT = 52;
const PAYLOAD_CRC_AT = 48;

export interface BlockHead {
  readonly index: number;
  readonly arrival_ns: number;
  readonly deviceFirst: number;
  readonly run: number;
  readonly n: number;
  readonly flags: number;
}

/** Which file a block belongs to, and where in it. */
export interface BlockPlace {
  readonly nonce: number;
  readonly sequence: number;
}

/** Why a block is not believed. */
export type BlockTrouble = 'cutShort' | 'zeros' | 'head' | 'place' | 'payload';

/** Fills in everything but the place, payload checksum included. */
export function writeHead(bytes: Uint8Array, head: BlockHead, crc: Crc32): void {
  const view = viewOf(bytes);
  view.setUint32(0, BLOCK_MAGIC, true);
  setI64(view, 16, head.index);
  setI64(view, 24, head.arrival_ns);
  setI64(view, 32, head.deviceFirst);
  view.setUint32(40, head.run, true);
  view.setUint16(44, head.n, true);
  view.setUint16(46, head.flags, true);
  view.setUint32(PAYLOAD_CRC_AT, crc(bytes.subarray(BLOCK_HEADER_BYTES)), true);
}

/** Makes a block belong to a place in a file; may be done again for another file. */
export function stampPlace(bytes: Uint8Array, place: BlockPlace, crc: Crc32): void {
  const view = viewOf(bytes);
  view.setUint32(4, place.nonce, true);
  setI64(view, 8, place.sequence);
  view.setUint32(HEADER_CRC_AT, crc(bytes.subarray(0, HEADER_CRC_AT)), true);
}

export function readHead(bytes: Uint8Array): BlockHead {
  const view = viewOf(bytes);
  return {
    index: getI64(view, 16),
    arrival_ns: getI64(view, 24),
    deviceFirst: getI64(view, 32),
    run: view.getUint32(40, true),
    n: view.getUint16(44, true),
    flags: view.getUint16(46, true),
  };
}

/** True when the head alone is intact and in its place; the payload is not looked at. */
export function isHeadSound(bytes: Uint8Array, place: BlockPlace, crc: Crc32): boolean {
  if (bytes.length < BLOCK_HEADER_BYTES) return false;
  const view = viewOf(bytes);
  return (
    view.getUint32(0, true) === BLOCK_MAGIC &&
    view.getUint32(HEADER_CRC_AT, true) === crc(bytes.subarray(0, HEADER_CRC_AT)) &&
    view.getUint32(4, true) === place.nonce &&
    getI64(view, 8) === place.sequence
  );
}

/** `bytes` is what stands at the block's place, shorter than a stride only at the file's end. */
export function troubleOf(
  bytes: Uint8Array,
  layout: BlockLayout,
  place: BlockPlace,
  crc: Crc32,
): BlockTrouble | null {
  if (bytes.length < layout.stride) return 'cutShort';
  if (!isHeadSound(bytes, place, crc)) {
    if (bytes.every((byte) => byte === 0)) return 'zeros';
    const view = viewOf(bytes);
    const isIntact = view.getUint32(HEADER_CRC_AT, true) === crc(bytes.subarray(0, HEADER_CRC_AT));
    return isIntact ? 'place' : 'head';
  }
  const stored = viewOf(bytes).getUint32(PAYLOAD_CRC_AT, true);
  return stored === crc(bytes.subarray(BLOCK_HEADER_BYTES, layout.stride)) ? null : 'payload';
}

export function isPresent(bytes: Uint8Array, position: number): boolean {
  return (((bytes[BLOCK_HEADER_BYTES + (position >> 3)] ?? 0) >> (position & 7)) & 1) === 1;
}

export function setPresent(bytes: Uint8Array, position: number): void {
  const at = BLOCK_HEADER_BYTES + (position >> 3);
  bytes[at] = (bytes[at] ?? 0) | (1 << (position & 7));
}

/** Calls back for each run of samples that are present: places [first, end) of the block. */
export function presentRuns(
  bytes: Uint8Array,
  head: BlockHead,
  layout: BlockLayout,
  each: (first: number, end: number) => void,
): void {
  if ((head.flags & HAS_HOLES) === 0) {
    each(0, head.n);
    return;
  }
  let first = -1;
  for (let position = 0; position <= layout.capacity; position += 1) {
    const isIn = position < layout.capacity && isPresent(bytes, position);
    if (isIn && first < 0) first = position;
    if (!isIn && first >= 0) {
      each(first, position);
      first = -1;
    }
  }
}

/** The block as it came from the device, one stream block for each run of samples without a hole. */
export function unpackBlock(
  bytes: Uint8Array,
  head: BlockHead,
  layout: BlockLayout,
  format: StreamFormat,
): StreamBlock[] {
  const view = viewOf(bytes);
  const blocks: StreamBlock[] = [];
  presentRuns(bytes, head, layout, (first, end) => {
    blocks.push({
      format,
      run: head.run,
      first: head.deviceFirst + first,
      n: end - first,
      columns: layout.columns.map(({ stored, offset, bytes: width }) =>
        readValues(view, stored, offset + first * width, end - first),
      ),
      index: head.index + first,
      arrival_ns: head.arrival_ns,
    });
  });
  return blocks;
}

function readValues(view: DataView, type: SampleType, at: number, n: number): Float64Array {
  const values = new Float64Array(n);
  switch (type) {
    case 'int16':
      for (let i = 0; i < n; i += 1) values[i] = view.getInt16(at + 2 * i, true);
      break;
    case 'int24':
      for (let i = 0; i < n; i += 1) values[i] = getInt24(view, at + 3 * i);
      break;
    case 'float32':
      for (let i = 0; i < n; i += 1) values[i] = view.getFloat32(at + 4 * i, true);
      break;
    case 'float64':
      for (let i = 0; i < n; i += 1) values[i] = view.getFloat64(at + 8 * i, true);
      break;
  }
  return values;
}

/** Writes values [first, end) of a column, beginning at byte `at`. They must fit the type. */
export function writeValues(
  view: DataView,
  type: SampleType,
  at: number,
  values: Float64Array,
  first: number,
  end: number,
): void {
  let to = at;
  for (let i = first; i < end; i += 1) {
    const value = values[i] ?? Number.NaN;
    switch (type) {
      case 'int16':
        view.setInt16(to, value, true);
        to += 2;
        break;
      case 'int24':
        view.setUint16(to, value & 0xffff, true);
        view.setInt8(to + 2, value >> 16);
        to += 3;
        break;
      case 'float32':
        view.setFloat32(to, value, true);
        to += 4;
        break;
      case 'float64':
        view.setFloat64(to, value, true);
        to += 8;
        break;
    }
  }
}

export function getInt24(view: DataView, at: number): number {
  return view.getUint16(at, true) | (view.getInt8(at + 2) << 16);
}
