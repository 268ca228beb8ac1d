import { describe, expect, test } from 'vitest';
import { Envelope } from '../../../web/lib/envelope.ts';
import { seeded } from '../../support/curves.ts';

function fill(values: readonly number[], width: number): Envelope {
  const envelope = new Envelope({ length: values.length, rate_Hz: 1000, width });
  for (const value of values) envelope.push(value);
  return envelope;
}

/** What a stroke through the points covers in each pixel column: least, largest, first, last. */
function columns(envelope: Envelope) {
  return Array.from({ length: envelope.nPoints / 4 }, (_, k) => {
    const points = [...envelope.y.subarray(4 * k, 4 * k + 4)];
    return [Math.min(...points), Math.max(...points), points[0], points[3]];
  });
}

describe('curve thinned to pixels', () => {
  test('every pixel column keeps first, least, largest and last of its samples', () => {
    const chance = seeded(11);
    const values = Array.from({ length: 5000 }, () => Math.fround(100 * chance() - 50));
    const envelope = fill(values, 50);
    const expected = Array.from({ length: 50 }, (_, k) => {
      const part = values.slice(100 * k, 100 * (k + 1));
      return [Math.min(...part), Math.max(...part), part[0], part.at(-1)];
    });
    expect(columns(envelope)).toEqual(expected);
  });

  test('a spike of one sample stays on the paper at any rate', () => {
    const values = Array.from({ length: 100_000 }, (_, i) => (i === 61_234 ? 400 : 0));
    const envelope = fill(values, 668);
    expect(Math.max(...envelope.y.subarray(0, envelope.nPoints))).toBe(400);
  });

  test('a missing sample is never bridged: its column is empty, and its run is known', () => {
    const values = [1, 1, 1, 1, NaN, NaN, NaN, NaN, 2, 2, 2, 2];
    const envelope = fill(values, 3);
    expect([...envelope.y.subarray(4, 8)]).toEqual([NaN, NaN, NaN, NaN]);
    expect(envelope.holes).toEqual([{ first: 4, end: 8 }]);
  });

  test('a gap shorter than a pixel is still known', () => {
    const values = Array.from({ length: 1000 }, (_, i) => (i === 503 ? NaN : 1));
    expect(fill(values, 10).holes).toEqual([{ first: 503, end: 504 }]);
  });

  test('with fewer samples than pixels every sample stands at its own time', () => {
    const envelope = fill([3, 1, 4], 500);
    const times = [...envelope.x_s.subarray(0, envelope.nPoints)].filter((_, i) => i % 4 === 0);
    expect(times).toEqual([0, 0.001, 0.002]);
    expect(columns(envelope).map(([least]) => least)).toEqual([3, 1, 4]);
  });

  test('samples passed over are neither values nor losses', () => {
    const envelope = new Envelope({ length: 8, rate_Hz: 1000, width: 2 });
    for (let i = 0; i < 4; i += 1) envelope.skip();
    for (let i = 0; i < 4; i += 1) envelope.push(5);
    expect(envelope.holes).toEqual([]);
    expect([...envelope.y.subarray(0, 8)]).toEqual([NaN, NaN, NaN, NaN, 5, 5, 5, 5]);
  });

  test('more samples than the sheet is long are left out without a trace', () => {
    const envelope = fill(
      Array.from({ length: 100 }, () => 1),
      10,
    );
    for (let i = 0; i < 50; i += 1) envelope.push(9);
    expect(Math.max(...envelope.y.subarray(0, 40))).toBe(1);
  });
});
