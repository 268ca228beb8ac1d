/** Sizes, codes and limits of a packet, for encoder and decoder. The box table is in encode/packets.ts. */
import type { SampleType } from '../block/block.ts';

export const KIND_SAMPLES = 0x53;
export const KIND_DESCRIPTION = 0x44;
export const CRC_BYTES = 4;
/** Where the samples begin in a samples packet. */
export const SAMPLES_AT = 18;
/** What one machine can need (torque, angle, velocity, trigger, some EMG) four times over. */
export const MAX_CHANNELS = 16;
/** The count is one byte: 25 ms at 10 kHz, and at 1 kHz more than anybody should wait for. */
export const MAX_PACKET_SAMPLES = 255;

export const SAMPLE_TYPES = {
  int16: { code: 1, bytes: 2 },
  int24: { code: 2, bytes: 3 },
  float32: { code: 3, bytes: 4 },
  float64: { code: 4, bytes: 8 },
} as const satisfies Record<SampleType, { readonly code: number; readonly bytes: number }>;

export const INTEGER_RANGE = {
  int16: { min: -(2 ** 15), max: 2 ** 15 - 1 },
  int24: { min: -(2 ** 23), max: 2 ** 23 - 1 },
} as const;

/** The largest body there can be: 255 samples of 16 float64 channels. */
export const MAX_BODY_BYTES =
  SAMPLES_AT + MAX_PACKET_SAMPLES * MAX_CHANNELS * SAMPLE_TYPES.float64.bytes + CRC_BYTES;

export function sampleTypeCode(type: SampleType): number {
  return SAMPLE_TYPES[type].code;
}
