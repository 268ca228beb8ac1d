/** Whatever is put on the wire of `/live` comes off it the same, and coarse blocks keep the extremes. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  decodeLiveBlock,
  encodeLiveBlock,
  type LiveBlockSource,
} from '../../shared/wire/block-codec.ts';
import { createCoarsener } from '../../shared/wire/coarse.ts';

const sample = fc.oneof(fc.float({ noNaN: true }), fc.constant(NaN));

describe('block codec', () => {
  it('gives back any block', () => {
    const block = fc.record({ n: fc.nat(60), nColumns: fc.nat(5) }).chain(({ n, nColumns }) =>
      fc.record({
        index: fc.maxSafeNat(),
        n: fc.constant(n),
        step: fc.integer({ min: 1, max: 65_535 }),
        rate_Hz: fc.double({ min: 1, max: 1e5, noNaN: true }),
        arrival_ms: fc.double({ min: 0, max: 1e12, noNaN: true }),
        afterGap: fc.boolean(),
        columns: fc.array(fc.array(sample, { minLength: n, maxLength: n }), {
          minLength: nColumns,
          maxLength: nColumns,
        }),
      }),
    );
    fc.assert(
      fc.property(block, (sent) => {
        const read = decodeLiveBlock(encodeLiveBlock(sent).buffer);
        expect(read).toEqual({
          ...sent,
          columns: sent.columns.map((column) => Float32Array.from(column)),
        });
      }),
    );
  });

  it('never reads random bytes beyond their end', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), (bytes) => {
        const read = decodeLiveBlock(bytes.slice().buffer);
        if (read) expect(32 + 4 * read.n * read.columns.length).toBe(bytes.length);
      }),
    );
  });
});

describe('coarse blocks', () => {
  const cuts = fc.array(fc.integer({ min: 1, max: 37 }), { minLength: 1, maxLength: 60 });
  // -0 and 0 are the same torque.
  const value = sample.map((each) => (each === 0 ? 0 : each));
  const values = fc.array(value, { minLength: 400, maxLength: 400 });

  it('hold the least and the greatest of every ten samples, however the stream is cut', () => {
    fc.assert(
      fc.property(values, cuts, (stream, lengths) => {
        const coarsener = createCoarsener();
        let index = 0;
        for (const n of lengths) {
          const column = stream.slice(index, index + n);
          if (column.length < n) break;
          for (const coarse of coarsener.push(blockOf(index, column)))
            expectExtremes(coarse, stream);
          index += n;
        }
      }),
    );
  });

  it('begin anew after a gap and say so', () => {
    const coarsener = createCoarsener();
    const ramp = Array.from({ length: 50 }, (_, i) => i);
    expect(coarsener.push(blockOf(0, ramp))).toEqual([]);
    const [cut] = coarsener.push({ ...blockOf(900, ramp), afterGap: true });
    expect(cut).toMatchObject({ index: 0, n: 10, step: 5, afterGap: false });
    const [next] = coarsener.push(blockOf(950, ramp));
    expect(next).toMatchObject({ index: 900, n: 20, step: 5, afterGap: true });
  });
});

function blockOf(index: number, column: readonly number[]): LiveBlockSource {
  const n = column.length;
  return { index, n, rate_Hz: 1000, arrival_ms: 0, afterGap: false, columns: [column] };
}

function expectExtremes(coarse: LiveBlockSource, stream: readonly number[]): void {
  const [column = []] = coarse.columns;
  for (let pair = 0; pair < coarse.n; pair += 2) {
    const start = coarse.index + pair * (coarse.step ?? 1);
    const ten = stream.slice(start, start + 10).filter((value) => !Number.isNaN(value));
    expect(column[pair]).toBe(ten.length > 0 ? Math.min(...ten) : NaN);
    expect(column[pair + 1]).toBe(ten.length > 0 ? Math.max(...ten) : NaN);
  }
}
