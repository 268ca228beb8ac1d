/** Every dialect keeps the contract: any cut, junk before, bytes lost, nothing misread, bounded. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DIALECTS } from '../../shared/decode/index.ts';
import { seeded } from '../support/random-stream.ts';
import { framesOf, hear, join, type Frame } from '../support/wire.ts';

/** Rows that must be there, as the decoder gives them in its first run. */
function rowsOf(frames: readonly Frame[]): number[][] {
  return frames.flatMap((frame) => frame.rows.map((row) => [0, ...row]));
}

function cutAt(bytes: Uint8Array, cuts: readonly number[]): Uint8Array[] {
  const sorted = [...new Set(cuts.map((cut) => cut % bytes.length))].sort((a, b) => a - b);
  return [0, ...sorted].map((cut, k) => bytes.slice(cut, sorted[k] ?? bytes.length));
}

describe.each(DIALECTS)('$id', ({ id, create }) => {
  const frames = framesOf(id, 40);
  const bytes = join(frames.map((frame) => frame.bytes));
  const truth = rowsOf(frames);
  const known = new Set(truth.map((row) => row.join()));

  test('reads back exactly what was sent, without a fault', () => {
    const heard = hear(id, [bytes]);
    expect(heard.rows).toEqual(truth);
    expect(heard.faults).toEqual([]);
    const nothingLost = { damagedFrames: 0, unreadBytes: 0, lostSamples: 0, duplicateSamples: 0 };
    expect(heard.counts).toEqual({
      frames: frames.length,
      samples: truth.length,
      ...nothingLost,
    });
  });

  test('gives the same samples however the bytes are cut', () => {
    const damaged = bytes.slice();
    damaged[bytes.length >> 1] = 0xee;
    const whole = hear(id, [damaged]);
    fc.assert(
      fc.property(fc.array(fc.nat(bytes.length - 1), { maxLength: 20 }), (cuts) => {
        const cut = hear(id, cutAt(damaged, cuts));
        expect(cut).toEqual(whole);
      }),
      { numRuns: 50 },
    );
    const single = hear(id, cutAt(damaged, [...bytes.keys()]));
    expect(single).toEqual(whole);
  });

  test('finds the stream behind junk of any kind', () => {
    const random = seeded(7);
    for (let trial = 0; trial < 50; trial += 1) {
      const junk = Uint8Array.from({ length: 1 + trial * 9 }, () => Math.floor(random() * 256));
      const heard = hear(id, [join([junk, bytes])]);
      // The junk may take the first header with it; the second one is frame 11 or later.
      const later = rowsOf(frames.slice(14));
      expect(heard.rows.slice(-later.length)).toEqual(later);
      expect(heard.rows.filter((row) => !known.has(row.join()))).toEqual([]);
    }
  });

  test('is back within two good frames after bytes are lost, added or changed', () => {
    const random = seeded(11);
    const at = (limit: number): number => Math.floor(random() * limit);
    const starts = frames.map((_, k) => join(frames.slice(0, k).map((f) => f.bytes)).length);
    for (let trial = 0; trial < 300; trial += 1) {
      const start = starts[5] ?? 0;
      const from = start + at(bytes.length - start - 400);
      const until = from + 1 + at(12);
      const put = Uint8Array.from({ length: at(3) * at(8) }, () => at(256));
      const heard = hear(id, [join([bytes.subarray(0, from), put, bytes.subarray(until)])]);
      const touched = starts.findLastIndex((start) => start < until);
      const before = rowsOf(
        frames.slice(
          0,
          Math.max(
            0,
            starts.findLastIndex((s) => s <= from),
          ),
        ),
      );
      const after = rowsOf(frames.slice(touched + 2));
      expect(heard.rows.slice(0, before.length)).toEqual(before);
      expect(heard.rows.slice(-after.length), `lost ${from} to ${until}`).toEqual(after);
      const nMisread = heard.rows.filter((row) => !known.has(row.join())).length;
      // Without a checksum a line that lost a digit is still a line: at most the touched ones.
      expect(nMisread).toBeLessThanOrEqual(heard.blocks[0]?.format.integrity === 'text' ? 2 : 0);
    }
  });

  test('blocks are whole runs of samples, not longer than asked for', () => {
    const heard = hear(id, [bytes.subarray(0, 300), bytes.subarray(450)], { blockSamples: 7 });
    const widths = new Set(heard.blocks.map((block) => block.columns.length));
    expect(widths.size).toBe(1);
    for (const block of heard.blocks) {
      expect(block.n).toBeGreaterThan(0);
      expect(block.n).toBeLessThanOrEqual(7);
      expect(block.columns.every((column) => column.length === block.n)).toBe(true);
    }
  });

  test('counts every byte of junk, and keeps none of it', () => {
    const junk = new Uint8Array(1 << 20).fill(0x41);
    const decoder = create({}, { block: () => expect.fail(), fault: () => undefined });
    for (let k = 0; k < 8; k += 1) decoder.push(junk);
    expect(decoder.counts.samples).toBe(0);
    expect(decoder.counts.unreadBytes).toBe(8 * junk.length);
  });

  test('what was flushed is not given again', () => {
    const half = bytes.length >> 1;
    const got: number[] = [];
    const decoder = create(
      {},
      {
        block: ({ first, n }) => void got.push(...Array.from({ length: n }, (_, i) => first + i)),
        fault: () => undefined,
      },
    );
    for (const piece of [bytes.subarray(0, half), bytes.subarray(half)]) {
      decoder.push(piece);
      decoder.flush();
      decoder.flush();
    }
    expect(got).toEqual(truth.map((row) => row[1]));
  });
});
