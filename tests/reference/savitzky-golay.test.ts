/**
 * Weights against the tables of Savitzky & Golay 1964 (Anal Chem 36:1627, tables I to IV), and central
 * differences against numpy.gradient 1.24.2.
 */
import { expect, test } from 'vitest';
import { gradient, gradientOver } from '../../shared/dsp/derivative.ts';
import { savitzkyGolay, windowWeights } from '../../shared/dsp/savitzky-golay.ts';

test.each([
  ['smooth, quadratic, 5 points', 5, 2, 0, 35, [-3, 12, 17, 12, -3]],
  ['smooth, quadratic, 7 points', 7, 2, 0, 21, [-2, 3, 6, 7, 6, 3, -2]],
  ['smooth, cubic as quadratic, 9 points', 9, 3, 0, 231, [-21, 14, 39, 54, 59, 54, 39, 14, -21]],
  ['first derivative, quadratic, 5 points', 5, 2, 1, 10, [-2, -1, 0, 1, 2]],
  ['first derivative, quadratic, 7 points', 7, 2, 1, 28, [-3, -2, -1, 0, 1, 2, 3]],
  ['first derivative, quartic, 7 points', 7, 4, 1, 252, [22, -67, -58, 0, 58, 67, -22]],
  ['second derivative, quadratic, 5 points', 5, 2, 2, 7, [2, -1, -2, -1, 2]],
])('%s', (_, window, order, derivative, norm, table) => {
  const weights = windowWeights({ window, order, derivative, rate_Hz: 1 }, 0);
  weights.forEach((weight, k) => expect(weight * norm).toBeCloseTo(table[k] ?? NaN, 10));
});

test('a cubic and its derivatives come back exactly, ends included', () => {
  const rate_Hz = 50;
  const at = (i: number) => i / rate_Hz;
  const x = Float64Array.from({ length: 40 }, (_, i) => 2 - 3 * at(i) + 5 * at(i) ** 3);
  const design = { window: 11, order: 3, rate_Hz };
  savitzkyGolay(x, { ...design, derivative: 0 }).forEach((v, i) => expect(v).toBeCloseTo(x[i], 10));
  savitzkyGolay(x, { ...design, derivative: 1 }).forEach((v, i) =>
    expect(v).toBeCloseTo(-3 + 15 * at(i) ** 2, 9),
  );
  savitzkyGolay(x, { ...design, derivative: 2 }).forEach((v, i) =>
    expect(v).toBeCloseTo(30 * at(i), 8),
  );
});

test('a hole stays a hole, and a stretch shorter than the window has no derivative', () => {
  const x = Float64Array.from({ length: 20 }, (_, i) => i);
  x[4] = Number.NaN;
  const velocity = savitzkyGolay(x, { window: 5, order: 2, derivative: 1, rate_Hz: 10 });
  expect([...velocity.subarray(0, 5)].every(Number.isNaN)).toBe(true);
  velocity.subarray(5).forEach((v) => expect(v).toBeCloseTo(10, 10));
});

test.each([
  [4, 2],
  [5, 5],
])('a window of %d for order %d is refused', (window, order) => {
  expect(() => windowWeights({ window, order, derivative: 1, rate_Hz: 1 }, 0)).toThrow(RangeError);
});

test('numpy.gradient([1, 2, 4, 7, 11, 16]) is [1, 1.5, 2.5, 3.5, 4.5, 5] (its documentation)', () => {
  expect([...gradient(Float64Array.of(1, 2, 4, 7, 11, 16), 1)]).toEqual([1, 1.5, 2.5, 3.5, 4.5, 5]);
});

test('numpy.gradient(f, [0, 1, 1.5, 3.5, 4, 6]) is [1, 3, 3.5, 6.7, 6.9, 2.5] (its documentation)', () => {
  const found = gradientOver(
    Float64Array.of(1, 2, 4, 7, 11, 16),
    Float64Array.of(0, 1, 1.5, 3.5, 4, 6),
  );
  [1, 3, 3.5, 6.7, 6.9, 2.5].forEach((expected, i) => expect(found[i]).toBeCloseTo(expected, 12));
});

test('noise on an angle grows to sigma fs / sqrt(2) in a velocity: 0.05 deg at 1 kHz is 35 deg/s', () => {
  const weights = gradient(Float64Array.of(0, 0, 1, 0, 0), 1000);
  const amplification = Math.hypot(...weights);
  expect(amplification * 0.05).toBeCloseTo((0.05 * 1000) / Math.SQRT2, 9);
});

test('a sample alone between holes has no derivative', () => {
  const x = Float64Array.of(NaN, 3, NaN, 1, 2);
  expect([...gradient(x, 10)]).toEqual([NaN, NaN, NaN, 10, 10]);
  expect([...gradientOver(x, Float64Array.of(0, 1, 2, 3, 3))]).toEqual([NaN, NaN, NaN, NaN, NaN]);
});
