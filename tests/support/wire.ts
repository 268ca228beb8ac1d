/** Known samples as bytes of a wire, frame by frame, and what a decoder makes of bytes. */
import type { RawBlock, SampleType, StreamFormat } from '../../shared/block/block.ts';
import {
  dialectById,
  type DecoderCounts,
  type DecoderHints,
  type DialectId,
} from '../../shared/decode/index.ts';
import { createLineEncoder } from '../../shared/encode/lines.ts';
import { createPacketEncoder } from '../../shared/encode/packets.ts';
import type { FaultCode } from '../../shared/faults.ts';

export interface Frame {
  readonly bytes: Uint8Array;
  /** Index and values of its samples; none for a header. */
  readonly rows: readonly (readonly number[])[];
}

export interface Heard {
  /** Run, index and values of each sample, in order. */
  readonly rows: readonly (readonly number[])[];
  readonly blocks: readonly RawBlock[];
  readonly faults: readonly (readonly [code: FaultCode, detail: string, count: number])[];
  readonly counts: DecoderCounts;
}

export function formatOf(type: SampleType, nChannels: number, rate_Hz = 1000): StreamFormat {
  const channels = Array.from({ length: nChannels }, (_, c) => ({
    name: `ai${c}`,
    unit: 'V',
    type,
  }));
  return { rate_Hz, channels, integrity: 'crc32', notes: {} };
}

/** Sample i of channel c of the test signal: a whole number that every type can hold. */
export function value(i: number, c: number): number {
  return Math.round(20_000 * Math.sin(0.01 * i + c)) + ((i * 7 + c) % 11);
}

export function columnsOf(nChannels: number, first: number, n: number): Float64Array[] {
  return Array.from({ length: nChannels }, (_, c) =>
    Float64Array.from({ length: n }, (_, i) => value(first + i, c)),
  );
}

/** A stream of either dialect: a header every ten frames, n samples a frame, sample indices from 0. */
export function framesOf(dialect: DialectId, nFrames: number, samplesAFrame = 5): Frame[] {
  const nChannels = 3;
  const format = formatOf('int16', nChannels);
  const packet = createPacketEncoder(format);
  const line = createLineEncoder(format, { time: 'time_us' });
  const n = dialect === 'packets' ? samplesAFrame : 1;
  const frames: Frame[] = [];
  for (let k = 0; k < nFrames; k += 1) {
    if (k % 10 === 0) {
      const header = dialect === 'packets' ? [packet.description()] : splitLines(line.header());
      frames.push(...header.map((bytes) => ({ bytes, rows: [] })));
    }
    const first = k * n;
    const columns = columnsOf(nChannels, first, n);
    const encoder = dialect === 'packets' ? packet : line;
    const stamp = (i: number): number[] => (dialect === 'lines' ? [1000 * i] : []);
    frames.push({
      bytes: encoder.samples(first, n, columns),
      rows: Array.from({ length: n }, (_, i) => [
        first + i,
        ...stamp(first + i),
        ...columns.map((column) => column[i] ?? Number.NaN),
      ]),
    });
  }
  return frames;
}

function splitLines(bytes: Uint8Array): Uint8Array[] {
  const ends = [...bytes.keys()].filter((at) => bytes[at] === 0x0a);
  return ends.map((end, k) => bytes.subarray((ends[k - 1] ?? -1) + 1, end + 1));
}

export function join(pieces: readonly Uint8Array[]): Uint8Array {
  const bytes = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.length, 0));
  let at = 0;
  for (const piece of pieces) {
    bytes.set(piece, at);
    at += piece.length;
  }
  return bytes;
}

/** Decodes the pieces as they are cut and flushes at the end. */
export function hear(
  dialect: DialectId,
  pieces: readonly Uint8Array[],
  hints: DecoderHints = {},
): Heard {
  const blocks: RawBlock[] = [];
  const faults: (readonly [FaultCode, string, number])[] = [];
  const decoder = dialectById(dialect)?.create(hints, {
    block: (block) => void blocks.push(block),
    fault: (code, detail, count) => void faults.push([code, detail, count]),
  });
  if (decoder === undefined) throw new Error(`no dialect ${dialect}`);
  for (const piece of pieces) decoder.push(piece);
  decoder.flush();
  const rows = blocks.flatMap((block) =>
    Array.from({ length: block.n }, (_, i) => [
      block.run,
      block.first + i,
      ...block.columns.map((column) => column[i] ?? Number.NaN),
    ]),
  );
  return { rows, blocks, faults, counts: decoder.counts };
}

/** Text as the bytes of a line stream. */
export function text(...lines: readonly string[]): Uint8Array {
  return new TextEncoder().encode(lines.map((line) => `${line}\n`).join(''));
}
