/**
 * Wire dialects: how bytes of a device become raw blocks. One file a dialect, listed at the bottom.
 * Every decoder gives the same samples however its bytes are cut, and never reads damage as data.
 */
import type { RawBlock } from '../block/block.ts';
import type { FaultCode } from '../faults.ts';
import { lines } from './lines.ts';
import { packets } from './packets.ts';

/** What a decoder tells as it goes. Blocks are the receiver's to keep. */
export interface DecoderSink {
  block(block: RawBlock): void;
  fault(code: FaultCode, detail: string, count: number): void;
}

/** What the first field of a line can be: the device's time, or a count of its samples. */
export type TimeField = 'time_s' | 'time_ms' | 'time_us' | 'sample';

/** Things the wiring or the URL may know better than the stream. */
export interface DecoderHints {
  /** Samples a second when the device does not say. */
  readonly rate_Hz?: number;
  /** What the first field of a line is when there is no header. */
  readonly time?: TimeField;
  /** Names of the fields of a line when there is no header, the time field included. */
  readonly names?: readonly string[];
  /** Samples a block holds at most; a block is emitted earlier by `flush` or a hole. */
  readonly blockSamples?: number;
}

export interface Decoder {
  push(bytes: Uint8Array): void;
  /** Emits what is decoded but not yet a full block (called by a clock, so latency is bounded). */
  flush(): void;
  /** Counters since the start: whole frames read, frames or bytes left out, samples given. */
  readonly counts: DecoderCounts;
}

export interface DecoderCounts {
  readonly frames: number;
  readonly damagedFrames: number;
  readonly unreadBytes: number;
  readonly samples: number;
  readonly lostSamples: number;
  readonly duplicateSamples: number;
}

export interface Dialect {
  readonly id: string;
  /** One sentence for `--help` and README. */
  readonly about: string;
  create(hints: DecoderHints, sink: DecoderSink): Decoder;
}

export const DIALECTS = [lines, packets] as const satisfies readonly Dialect[];

export type DialectId = (typeof DIALECTS)[number]['id'];

/** Undefined when there is none of that name. */
export function dialectById(id: string): Dialect | undefined {
  return DIALECTS.find((dialect) => dialect.id === id);
}
