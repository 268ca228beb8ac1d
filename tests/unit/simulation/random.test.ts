import { describe, expect, test } from 'vitest';
import { createRandom, xoshiro128 } from '../../../shared/simulation/random.ts';

describe('seeded chance', () => {
  test('is xoshiro128**', () => {
    // Numbers of the authors' C program as kept in edorfaus/xoshiro-6502, test-rom/testdata.asm.
    const next = xoshiro128([0x964d4a0c, 0xd40ab895, 0xad7fdecb, 0x3006f0f0]);
    expect([next(), next(), next(), next()]).toEqual([
      0xf1391922, 0x6fe53806, 0xa5be2840, 0xf510ee70,
    ]);
  });

  test('a stream has its own numbers, and the same ones every time', () => {
    const draw = (seed: number, stream: string) => {
      const { uniform } = createRandom(seed, stream);
      return Array.from({ length: 20 }, () => uniform());
    };
    expect(draw(1, 'a')).toEqual(draw(1, 'a'));
    expect(draw(1, 'a')).not.toEqual(draw(1, 'b'));
    expect(draw(1, 'a')).not.toEqual(draw(2, 'a'));
  });

  test('even numbers and normal ones have their moments', () => {
    // Uniform: mean 1/2, variance 1/12. Normal: 0, 1, third moment 0, fourth 3.
    const random = createRandom(3, 'moments');
    const n = 40_000;
    const even = Array.from({ length: n }, () => random.uniform());
    const bell = Array.from({ length: n }, () => random.gauss());
    const moment = (values: readonly number[], about: number, power: number) =>
      values.reduce((sum, value) => sum + (value - about) ** power, 0) / values.length;
    expect(Math.abs(moment(even, 0, 1) - 0.5)).toBeLessThan(0.005);
    expect(Math.abs(moment(even, 0.5, 2) - 1 / 12)).toBeLessThan(0.002);
    expect(even.every((value) => value >= 0 && value < 1)).toBe(true);
    expect(Math.abs(moment(bell, 0, 1))).toBeLessThan(0.02);
    expect(Math.abs(moment(bell, 0, 2) - 1)).toBeLessThan(0.03);
    expect(Math.abs(moment(bell, 0, 3))).toBeLessThan(0.06);
    expect(Math.abs(moment(bell, 0, 4) - 3)).toBeLessThan(0.15);
  });
});
