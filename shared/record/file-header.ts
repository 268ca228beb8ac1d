/**
 * The head of a stream file: what its blocks look like, in JSON, under a checksum.
 *
 * | offset     | type      | what                                                             |
 * |------------|-----------|------------------------------------------------------------------|
 * | 0          | u8[8]     | `MOMNTARM`                                                       |
 * | 8          | u32       | H, bytes of this head: 4096, more only when the JSON needs it    |
 * | 12         | u32       | L, bytes of the JSON                                             |
 * | 16         | u8[L]     | JSON in ASCII (see `StreamHeader`), then zeros                   |
 * | H - 4      | u32       | CRC-32 of bytes 0 to H - 5                                       |
 *
 * The member `numpy` names every field of a block, so that one dtype reads the file.
 */
import * as v from 'valibot';
import type { SampleType, StreamFormat } from '../block/block.ts';
import { asciiBytes, asciiText } from '../decode/ascii.ts';
import { asciiJson, viewOf, type Crc32 } from './bytes.ts';
import { channelSchema, formatSchema, type Parsed } from './documents.ts';
import { blockLayout, presentBytes, type BlockLayout } from './layout.ts';
import { parseJson } from './sealed-json.ts';
import { RECORDING_VERSION, versionTrouble } from './version.ts';

const MAGIC = 'MOMNTARM';
const PAGE = 4096;
const JSON_AT = 16;
const CRC_BYTES = 4;
/** A head this long cannot be ours: 16 channels with long names and notes stay below 64 KiB. */
export const MOST_HEADER_BYTES = 1 << 20;

export interface StreamHeader {
  /** Id of the recording it belongs to. */
  readonly recording: string;
  /** N of `stream-N.blk`. */
  readonly segment: number;
  /** Random; every block of the file repeats it. */
  readonly nonce: number;
  readonly format: StreamFormat;
  readonly layout: BlockLayout;
}

const numbers = v.pipe(v.number(), v.safeInteger(), v.minValue(0));
const stored = {
  stored: channelSchema.entries.type,
  offset: numbers,
  bytes: numbers,
};
const headerSchema = v.looseObject({
  container: v.literal('momentarm-stream'),
  version: v.literal(RECORDING_VERSION),
  recording: v.string(),
  segment: numbers,
  nonce: numbers,
  capacity: v.pipe(numbers, v.minValue(8), v.maxValue(65528)),
  stride: numbers,
  rate_Hz: formatSchema.entries.rate_Hz,
  integrity: formatSchema.entries.integrity,
  notes: formatSchema.entries.notes,
  channels: v.pipe(v.array(v.object({ ...channelSchema.entries, ...stored })), v.minLength(1)),
});

/** The JSON of a head: also the body of the `segment` event that can stand in for a damaged head. */
export function headerJson(header: StreamHeader): Record<string, unknown> {
  const { format, layout } = header;
  return {
    container: 'momentarm-stream',
    version: RECORDING_VERSION,
    recording: header.recording,
    segment: header.segment,
    nonce: header.nonce,
    capacity: layout.capacity,
    stride: layout.stride,
    rate_Hz: format.rate_Hz,
    integrity: format.integrity,
    notes: format.notes,
    channels: format.channels.map((channel, c) => ({ ...channel, ...layout.columns[c] })),
    numpy: numpyFields(layout),
  };
}

export function encodeHeader(header: StreamHeader, crc: Crc32): Uint8Array<ArrayBuffer> {
  const json = asciiBytes(asciiJson(headerJson(header)));
  const size = Math.ceil((JSON_AT + json.length + CRC_BYTES) / PAGE) * PAGE;
  const bytes = new Uint8Array(size);
  const view = viewOf(bytes);
  bytes.set(asciiBytes(MAGIC));
  view.setUint32(8, size, true);
  view.setUint32(12, json.length, true);
  bytes.set(json, JSON_AT);
  view.setUint32(size - CRC_BYTES, crc(bytes.subarray(0, size - CRC_BYTES)), true);
  return bytes;
}

/** Bytes of the head that begins here; null when this is no head or its length is out of bounds. */
export function headerSize(bytes: Uint8Array): number | null {
  if (bytes.length < JSON_AT || asciiText(bytes, 0, MAGIC.length) !== MAGIC) return null;
  const size = viewOf(bytes).getUint32(8, true);
  return size >= PAGE && size % PAGE === 0 && size <= MOST_HEADER_BYTES ? size : null;
}

export function decodeHeader(bytes: Uint8Array, crc: Crc32): Parsed<StreamHeader> {
  const size = headerSize(bytes);
  if (size === null || bytes.length < size)
    return { trouble: 'it does not begin with a whole head' };
  const view = viewOf(bytes);
  const stated = view.getUint32(size - CRC_BYTES, true);
  if (stated !== crc(bytes.subarray(0, size - CRC_BYTES))) {
    return { trouble: 'the checksum of its head is wrong' };
  }
  const end = JSON_AT + view.getUint32(12, true);
  return parseHeaderJson(parseJson(asciiText(bytes, JSON_AT, end)));
}

/** Also checks that offsets and stride are those this program would compute. */
export function parseHeaderJson(value: unknown): Parsed<StreamHeader> {
  const other = v.safeParse(v.object({ version: v.number() }), value);
  const trouble = other.success ? versionTrouble(other.output.version) : null;
  if (trouble !== null) return { trouble };
  const result = v.safeParse(headerSchema, value);
  if (!result.success) {
    return { trouble: `${v.getDotPath(result.issues[0]) ?? 'head'}: ${result.issues[0].message}` };
  }
  const { recording, segment, nonce, rate_Hz, integrity, notes } = result.output;
  const channels = result.output.channels.map(({ name, unit, type, scale, rawMin, rawMax }) => ({
    name,
    unit,
    type,
    ...(scale === undefined ? {} : { scale }),
    ...(rawMin === undefined ? {} : { rawMin }),
    ...(rawMax === undefined ? {} : { rawMax }),
  }));
  const format: StreamFormat = { rate_Hz, channels, integrity, notes };
  const types: SampleType[] = result.output.channels.map((channel) => channel.stored);
  const layout = blockLayout(format, types, result.output.capacity);
  const isSame =
    layout.stride === result.output.stride &&
    layout.columns.every((column, c) => column.offset === result.output.channels[c]?.offset);
  if (!isSame) return { trouble: 'its offsets do not fit its channels' };
  return { value: { recording, segment, nonce, format, layout } };
}

/** Name, type and shape of every field of a block, in numpy's words. Channel i is field `c<i>`. */
function numpyFields(layout: BlockLayout): [string, string, number[]][] {
  const { capacity } = layout;
  const padding = presentBytes(capacity) - capacity / 8;
  const types = { int16: '<i2', int24: 'u1', float32: '<f4', float64: '<f8' } as const;
  const fields: [string, string, number[]][] = [
    ['magic', 'S4', []],
    ['nonce', '<u4', []],
    ['sequence', '<i8', []],
    ['index', '<i8', []],
    ['arrival_ns', '<i8', []],
    ['deviceFirst', '<i8', []],
    ['run', '<u4', []],
    ['n', '<u2', []],
    ['flags', '<u2', []],
    ['payloadCrc', '<u4', []],
    ['headCrc', '<u4', []],
    ['present', 'u1', [capacity / 8]],
  ];
  if (padding > 0) fields.push(['padding', 'u1', [padding]]);
  layout.columns.forEach(({ stored: type }, c) => {
    fields.push([`c${c}`, types[type], type === 'int24' ? [capacity, 3] : [capacity]]);
  });
  return fields;
}
