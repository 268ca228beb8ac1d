/**
 * Writes samples as packets: COBS frames, each with a CRC-32. The same layout is in README for a stranger.
 * A frame is COBS(body) then one byte 0x00. All numbers are little-endian.
 *
 * Samples                                            Description
 * | offset | type | what                           | | offset | type  | what                          |
 * |--------|------|--------------------------------| |--------|-------|-------------------------------|
 * | 0      | u8   | 0x53 'S'                       | | 0      | u8    | 0x44 'D'                      |
 * | 1      | u8   | channels, 1 to 16              | | 1      | ASCII | JSON, see `description.ts`    |
 * | 2      | u8   | type: 1 int16, 2 int24,        | | end-4  | u32   | CRC-32 of all bytes before it |
 * |        |      | 3 float32, 4 float64           |
 * | 3      | u8   | n, samples a channel, 1 to 255 | The CRC-32 of a description is its identity: every
 * | 4      | u32  | CRC-32 of the description      | samples packet repeats it at offset 4.
 * | 8      | u32  | index of the first sample      |
 * | 12     | u32  | device ticks at that sample    | Index, ticks and packet number start anywhere and
 * | 16     | u16  | number of the packet           | come round at 2^32, 2^32 and 2^16.
 * | 18     | ...  | n rows of one value a channel  |
 * | end-4  | u32  | CRC-32 of all bytes before it  |
 */
import type { SampleType, StreamFormat } from '../block/block.ts';
import { asciiBytes } from '../decode/ascii.ts';
import { cobsEncode } from '../decode/cobs.ts';
import { crc32 } from '../decode/crc32.ts';
import { printDescription } from '../decode/description.ts';
import {
  CRC_BYTES,
  INTEGER_RANGE,
  KIND_DESCRIPTION,
  KIND_SAMPLES,
  MAX_CHANNELS,
  MAX_PACKET_SAMPLES,
  SAMPLES_AT,
  SAMPLE_TYPES,
  sampleTypeCode,
} from '../decode/packet-layout.ts';

export interface PacketEncoderOptions {
  /** Ticks a second of the device's clock; microseconds when left out. */
  readonly tick_Hz?: number;
  /** Number of the first samples packet; 0 when left out. */
  readonly sequence?: number;
}

export interface PacketEncoder {
  /** Announces rate, type and channels. Send it first and about once a second. */
  description(): Uint8Array;
  /**
   * One packet with the n (1 to 255) samples from index `first`, one column a channel of the format.
   * Integers are rounded and held to the type's range. NaN goes as NaN in floats; an integer cannot
   * hold it (RangeError): leave that sample out, the jump of `first` is the hole.
   */
  samples(first: number, n: number, columns: readonly ArrayLike<number>[]): Uint8Array;
}

/** All channels of the format must have one type and there must be 1 to 16 of them (RangeError). */
export function createPacketEncoder(
  format: StreamFormat,
  options: PacketEncoderOptions = {},
): PacketEncoder {
  const { tick_Hz = 1e6 } = options;
  let sequence = options.sequence ?? 0;
  const nChannels = format.channels.length;
  const type = format.channels[0]?.type;
  if (type === undefined || nChannels > MAX_CHANNELS) throw new RangeError('1 to 16 channels');
  if (format.channels.some((channel) => channel.type !== type)) {
    throw new RangeError('all channels of a packet have one type');
  }
  const text = asciiBytes(printDescription(format, tick_Hz));
  const description = new Uint8Array(1 + text.length + CRC_BYTES);
  description[0] = KIND_DESCRIPTION;
  description.set(text, 1);
  const identity = seal(description);
  const sampleBytes = SAMPLE_TYPES[type].bytes;
  return {
    description: () => frame(description),
    samples(first, n, columns) {
      if (!(n >= 1 && n <= MAX_PACKET_SAMPLES)) throw new RangeError('1 to 255 samples a packet');
      const body = new Uint8Array(SAMPLES_AT + n * nChannels * sampleBytes + CRC_BYTES);
      const view = new DataView(body.buffer);
      body[0] = KIND_SAMPLES;
      body[1] = nChannels;
      body[2] = sampleTypeCode(type);
      body[3] = n;
      view.setUint32(4, identity, true);
      view.setUint32(8, first % 2 ** 32, true);
      view.setUint32(12, Math.round((first * tick_Hz) / format.rate_Hz) % 2 ** 32, true);
      view.setUint16(16, sequence, true);
      let at = SAMPLES_AT;
      for (let i = 0; i < n; i += 1) {
        for (let c = 0; c < nChannels; c += 1) {
          writeSample(view, at, type, columns[c]?.[i] ?? Number.NaN);
          at += sampleBytes;
        }
      }
      seal(body);
      sequence = (sequence + 1) % 2 ** 16;
      return frame(body);
    },
  };
}

function writeSample(view: DataView, at: number, type: SampleType, value: number): void {
  if (type === 'float32') return view.setFloat32(at, value, true);
  if (type === 'float64') return view.setFloat64(at, value, true);
  if (Number.isNaN(value)) throw new RangeError(`NaN cannot be sent as ${type}`);
  const { min, max } = INTEGER_RANGE[type];
  const whole = Math.min(max, Math.max(min, Math.round(value)));
  view.setInt16(at, whole, true);
  if (type === 'int24') view.setInt8(at + 2, whole >> 16);
}

/** Writes the CRC-32 of all bytes before the last four into those; returns it. */
function seal(body: Uint8Array): number {
  const end = body.length - CRC_BYTES;
  const crc = crc32(body, 0, end);
  new DataView(body.buffer).setUint32(end, crc, true);
  return crc;
}

function frame(body: Uint8Array): Uint8Array {
  const encoded = cobsEncode(body);
  const bytes = new Uint8Array(encoded.length + 1);
  bytes.set(encoded);
  return bytes;
}
