/** The table's cosine against the library's and against angles whose cosine is exact. */
import { expect, test } from 'vitest';
import { cosDegrees } from '../../../shared/dsp/cosine.ts';

test('within 3e-15 of Math.cos up to a turn either way', () => {
  let worst = 0;
  for (let angle_deg = -360; angle_deg <= 360; angle_deg += 0.0137) {
    const error = Math.abs(cosDegrees(angle_deg) - Math.cos((angle_deg * Math.PI) / 180));
    worst = Math.max(worst, error);
  }
  expect(worst).toBeLessThan(3e-15);
});

test.each([
  [0, 1],
  [60, 0.5],
  [-90, 0],
  [180, -1],
  [360, 1],
])('%d degrees', (angle_deg, cosine) => {
  expect(cosDegrees(angle_deg)).toBeCloseTo(cosine, 14);
});

test('nothing sensible goes in, NaN comes out', () => {
  expect([NaN, Infinity, -Infinity].map(cosDegrees)).toEqual([NaN, NaN, NaN]);
});
