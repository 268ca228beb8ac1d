/** Trigger edges: where they lie between samples, what noise and holes do to them, however they are cut. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { findTriggers } from '../../../shared/markers/trigger.ts';

const all = (values: number[], low = 0, high = 5) =>
  findTriggers(low, high).push(0, values, values.length);

describe('trigger edges', () => {
  // The straight line through (1, 1) and (2, 4) is 2.5 at 1.5; through (3, 5) and (4, 0) at 3.5.
  test('lie where the line between two samples crosses the middle', () => {
    expect(all([0, 1, 4, 5, 0])).toEqual([
      { index: 1.5, rises: true },
      { index: 3.5, rises: false },
    ]);
    expect(all([0, 2, 5])[0]?.index).toBeCloseTo(1 + 0.5 / 3, 12);
  });

  test('a slow edge is one edge, and noise at the middle is none', () => {
    expect(all([0, 1, 2, 2.4, 2.6, 3, 4, 5])).toEqual([{ index: 3.5, rises: true }]);
    expect(all([0, 2.4, 2.6, 2.4, 2.6, 2.4, 0])).toEqual([]);
    expect(all([0, 2.4, 2.6, 2.4, 2.6, 5])).toEqual([{ index: 3.5, rises: true }]);
  });

  test('an edge inside a hole is not guessed', () => {
    const finder = findTriggers(0, 5);
    expect(finder.push(0, [0, 0, 0], 3)).toEqual([]);
    expect(finder.push(10, [5, 5, 5], 3)).toEqual([]);
    expect(finder.push(13, [0], 1)).toEqual([{ index: 12.5, rises: false }]);
    expect(all([0, Number.NaN, 5, 5])).toEqual([]);
  });

  test('are the same however the samples are cut into blocks', () => {
    const signal = fc.array(
      fc.oneof(fc.constantFrom(0, 5), fc.double({ min: 0, max: 5, noNaN: true })),
      {
        maxLength: 60,
      },
    );
    fc.assert(
      fc.property(signal, fc.integer({ min: 1, max: 7 }), (values, size) => {
        const finder = findTriggers(0, 5);
        const cut = [];
        for (let at = 0; at < values.length; at += size) {
          const piece = values.slice(at, at + size);
          cut.push(...finder.push(at, piece, piece.length));
        }
        expect(cut).toEqual(all(values));
      }),
    );
  });
});
