/**
 * Where everything stands in a block of a recording, worked out from what the device announced.
 * All blocks of one stream file have the same length, so block k begins at a place anyone can compute.
 */
import type { SampleType, StreamFormat } from '../block/block.ts';

/** What a crash may cost: a block is written when it is full, and it is full after this time. */
const BLOCK_S = 0.1;
/** Whole bytes of presence bits, and every column at a multiple of 8 bytes. */
const CAPACITY_STEP = 8;
/** The count of samples in a block header is 16 bits wide. */
const MOST_CAPACITY = 65528;

export const BLOCK_HEADER_BYTES = 56;

export const BYTES_OF: Readonly<Record<SampleType, number>> = {
  int16: 2,
  int24: 3,
  float32: 4,
  float64: 8,
};

export interface StoredColumn {
  /** How the values are kept: the device's own type, or float64 where a value did not fit it. */
  readonly stored: SampleType;
  /** Bytes from the start of the block to the column's first value. */
  readonly offset: number;
  /** Bytes a value. */
  readonly bytes: number;
}

export interface BlockLayout {
  /** Sample places in a block; the span of a block in samples is at most this. */
  readonly capacity: number;
  readonly columns: readonly StoredColumn[];
  /** Bytes from one block to the next. */
  readonly stride: number;
}

/** At most 100 ms of samples, a multiple of 8, at least 8. */
export function blockCapacity(rate_Hz: number): number {
  const steps = Math.floor((rate_Hz * BLOCK_S) / CAPACITY_STEP);
  return Math.min(Math.max(steps, 1) * CAPACITY_STEP, MOST_CAPACITY);
}

/** `stored` has one type a channel; without it every channel keeps its own. */
export function blockLayout(
  format: Pick<StreamFormat, 'rate_Hz' | 'channels'>,
  stored: readonly SampleType[] = format.channels.map((channel) => channel.type),
  capacity = blockCapacity(format.rate_Hz),
): BlockLayout {
  let offset = BLOCK_HEADER_BYTES + presentBytes(capacity);
  const columns = stored.map((type) => {
    const column = { stored: type, offset, bytes: BYTES_OF[type] };
    offset += capacity * column.bytes;
    return column;
  });
  return { capacity, columns, stride: offset };
}

/** Bytes of the presence bits with their padding: what follows begins at a multiple of 8. */
export function presentBytes(capacity: number): number {
  return Math.ceil(capacity / 64) * 8;
}

/** Bytes a second on the disk while samples arrive without holes. */
export function bytesPerSecond(layout: BlockLayout, rate_Hz: number): number {
  return (layout.stride * rate_Hz) / layout.capacity;
}
