/** The whole live pipeline gives the same bits however the stream is cut into blocks. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { StreamBlock } from '../../shared/block/block.ts';
import { createPipeline, LIVE_CHOICES } from '../../shared/pipeline.ts';
import { cutAt, fullPlan, rawColumns } from '../support/random-stream.ts';

const choices = {
  ...LIVE_CHOICES,
  gravity: { kind: 'sinusoid', amplitude_Nm: 12, horizontalAt_deg: -10, offset_Nm: 0.8 },
} as const;

/** Every column end to end, as bits: NaN equals NaN, and 0 differs from -0. */
function bitsOf(blocks: readonly StreamBlock[]): Map<string, bigint[]> {
  const pipeline = createPipeline(fullPlan, choices);
  const bits = new Map(pipeline.columns.map(({ name }): [string, bigint[]] => [name, []]));
  for (const raw of blocks) {
    const block = pipeline.push(raw);
    for (const [name, column] of block.columns) {
      const copy = column.slice(0, block.n);
      bits.get(name)?.push(...new BigUint64Array(copy.buffer));
    }
  }
  return bits;
}

const places = fc.array(fc.integer({ min: 1, max: 299 }), { maxLength: 40 });

test('any cut, with missing samples', () => {
  fc.assert(
    fc.property(fc.integer(), places, (seed, cuts) => {
      const columns = rawColumns(seed, 300, 50);
      expect(bitsOf(cutAt(columns, cuts))).toEqual(bitsOf(cutAt(columns, [])));
    }),
    { numRuns: 60 },
  );
});

test('any cut on both sides of a hole in the stream', () => {
  fc.assert(
    fc.property(fc.integer(), fc.nat({ max: 500 }), places, places, (seed, hole, before, after) => {
      const [early, late] = [rawColumns(seed, 300, 80), rawColumns(seed + 1, 300, 80)];
      const blocks = (a: number[], b: number[]) => [
        ...cutAt(early, a),
        ...cutAt(late, b, 301 + hole),
      ];
      expect(bitsOf(blocks(before, after))).toEqual(bitsOf(blocks([], [])));
    }),
    { numRuns: 40 },
  );
});
