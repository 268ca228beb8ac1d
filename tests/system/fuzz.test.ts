/**
 * A million frames of which a fifth are damaged: no crash, nothing misread, counters that add up,
 * memory bounded. The damage is of every kind: flipped bits, lost bytes, added bytes, frames cut,
 * doubled, left out, swapped for junk.
 */
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { describe, expect, test } from 'vitest';
import type { RawBlock } from '../../shared/block/block.ts';
import { dialectById, type DialectId } from '../../shared/decode/index.ts';
import { createLineEncoder } from '../../shared/encode/lines.ts';
import { createPacketEncoder } from '../../shared/encode/packets.ts';
import { seeded } from '../support/random-stream.ts';
import { formatOf, value } from '../support/wire.ts';

const FRAMES: Readonly<Record<DialectId, number>> = { packets: 1_000_000, lines: 1_000_000 };
const DAMAGED = 0.2;
const MOST_GROWTH_BYTES = 20e6;
const CHANNELS = 2;

setFlagsFromString('--expose-gc');

function usedBytes(): number {
  runInNewContext('gc()');
  const { heapUsed, arrayBuffers } = process.memoryUsage();
  return heapUsed + arrayBuffers;
}

type Random = () => number;

/** The frame with one damage of a random kind; what comes out may be nothing or more than one. */
function damage(frame: Uint8Array, random: Random): Uint8Array {
  const at = (limit: number): number => Math.floor(random() * limit);
  const bytes = frame.slice();
  switch (at(7)) {
    case 0: // one to eight flipped bits
      for (let k = 0; k <= at(8); k += 1) bytes[at(bytes.length)] ^= 1 << at(8);
      return bytes;
    case 1: {
      // one to four bytes lost
      const first = at(bytes.length);
      const end = first + 1 + at(4);
      return bytes.filter((_, i) => i < first || i >= end);
    }
    case 2: // cut short, end lost too
      return bytes.subarray(0, at(bytes.length));
    case 3: // begins in the middle
      return bytes.subarray(at(bytes.length));
    case 4: // lost whole
      return bytes.subarray(0, 0);
    case 5: // junk instead
      return bytes.map(() => at(256));
    default: // junk before
      return Uint8Array.from([...Array.from({ length: at(40) }, () => at(256)), ...bytes]);
  }
}

interface Tally {
  nDamaged: number;
  nSent: number;
  nWhole: number;
}

/** Frames of one sample each through a decoder, in pieces of 16 KiB. */
function fuzz(dialect: DialectId, nFrames: number, seed: number) {
  const random = seeded(seed);
  const format = formatOf('int16', CHANNELS);
  const isPackets = dialect === 'packets';
  const packet = createPacketEncoder(format);
  const line = createLineEncoder(format, { time: 'sample' });
  const nStamps = isPackets ? 0 : 1;
  const result = { nRead: 0, nWrong: 0, lastIndex: -1, nBackwards: 0 };
  const check = ({ first, n, columns, run }: RawBlock): void => {
    if (run !== 0 || first <= result.lastIndex) result.nBackwards += 1;
    result.lastIndex = first + n - 1;
    for (let i = 0; i < n; i += 1) {
      const isRight = [0, 1].every((c) => columns[c + nStamps]?.[i] === value(first + i, c));
      result.nRead += 1;
      if (!isRight) result.nWrong += 1;
    }
  };
  const decoder = dialectById(dialect)?.create({}, { block: check, fault: () => undefined });
  if (decoder === undefined) throw new Error(dialect);
  const piece = new Uint8Array(1 << 14);
  let nPiece = 0;
  let nBytes = 0;
  const send = (bytes: Uint8Array): void => {
    if (nPiece + bytes.length > piece.length) {
      decoder.push(piece.subarray(0, nPiece));
      nPiece = 0;
    }
    piece.set(bytes, nPiece);
    nPiece += bytes.length;
    nBytes += bytes.length;
  };
  const tally: Tally = { nDamaged: 0, nSent: 0, nWhole: 0 };
  const columns = [new Float64Array(1), new Float64Array(1)];
  for (let k = 0; k < nFrames; k += 1) {
    if (k % 500 === 0) send(isPackets ? packet.description() : line.header());
    columns.forEach((column, c) => (column[0] = value(k, c)));
    const frame = (isPackets ? packet : line).samples(k, 1, columns);
    const isDamaged = random() < DAMAGED;
    send(isDamaged ? damage(frame, random) : frame);
    tally.nSent += 1;
    if (isDamaged) tally.nDamaged += 1;
    else tally.nWhole += 1;
  }
  decoder.push(piece.subarray(0, nPiece));
  decoder.flush();
  return { ...result, ...tally, nBytes, counts: decoder.counts };
}

describe('a million frames, a fifth of them damaged', () => {
  test('packets: nothing misread, all whole frames read, memory flat', () => {
    fuzz('packets', 20_000, 1);
    const before = usedBytes();
    const done = fuzz('packets', FRAMES.packets, 2);
    expect(usedBytes() - before).toBeLessThan(MOST_GROWTH_BYTES);
    expect(done.nWrong).toBe(0);
    expect(done.nBackwards).toBe(0);
    expect(done.counts.samples).toBe(done.nRead);
    // A damaged end takes the next frame with it; nothing else may be missing.
    expect(done.nRead).toBeGreaterThan(done.nWhole - done.nDamaged);
    expect(done.counts.samples + done.counts.lostSamples).toBe(done.lastIndex + 1);
    expect(done.counts.damagedFrames).toBeGreaterThan(0.5 * done.nDamaged);
  });

  test('lines: no index misplaced, few misread as the missing checksum allows, memory flat', () => {
    fuzz('lines', 20_000, 1);
    const before = usedBytes();
    const done = fuzz('lines', FRAMES.lines, 3);
    expect(usedBytes() - before).toBeLessThan(MOST_GROWTH_BYTES);
    expect(done.counts.samples).toBe(done.nRead);
    expect(done.nRead).toBeGreaterThan(done.nWhole - done.nDamaged);
    expect(done.nBackwards).toBe(0);
    expect(done.counts.samples + done.counts.lostSamples).toBe(done.lastIndex + 1);
    // Only damaged lines can be misread: without a checksum about one in eighteen of them is.
    expect(done.nWrong).toBeLessThan(0.1 * done.nDamaged);
    expect(done.nRead - done.nWrong).toBeGreaterThan(0.85 * done.nWhole);
  });
});

test('delimiter-less junk is counted and not kept', () => {
  for (const dialect of ['lines', 'packets'] as const) {
    const decoder = dialectById(dialect)?.create(
      {},
      { block: () => undefined, fault: () => undefined },
    );
    const junk = new Uint8Array(1 << 20).fill(0x41);
    const before = usedBytes();
    for (let k = 0; k < 500; k += 1) decoder?.push(junk);
    expect(usedBytes() - before).toBeLessThan(1e6);
    expect(decoder?.counts.unreadBytes).toBe(500 * junk.length);
  }
});
