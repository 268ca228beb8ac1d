/** The rule for missing samples, in every function that needs neighbours; examples counted by hand. */
import { describe, expect, test } from 'vitest';
import { betweenGaps } from '../../../shared/dsp/between-gaps.ts';
import { butterworthLowPass } from '../../../shared/dsp/butterworth.ts';
import { movingMedian } from '../../../shared/dsp/median.ts';
import { cascade, restart, sweep } from '../../../shared/dsp/section.ts';
import { zeroPhase } from '../../../shared/dsp/zero-phase.ts';

const holed = Float64Array.of(NaN, 1, 2, NaN, NaN, 3, Infinity, 4, 5, 6);
const design = { order: 4, cutOff_Hz: 15, rate_Hz: 1000 } as const;

describe('betweenGaps', () => {
  test('hands over each stretch of numbers once, in order, and makes the rest NaN', () => {
    const seen: number[][] = [];
    const out = new Float64Array(10).fill(7);
    betweenGaps(holed, out, (from, to) => {
      seen.push([...from]);
      to.fill(from.length);
    });
    expect(seen).toEqual([[1, 2], [3], [4, 5, 6]]);
    expect([...out]).toEqual([NaN, 2, 2, NaN, NaN, 1, NaN, 3, 3, 3]);
  });

  test('nothing in, nothing out', () => {
    betweenGaps(new Float64Array(), new Float64Array(), () => expect.fail());
    betweenGaps(Float64Array.of(NaN), new Float64Array(1), () => expect.fail());
  });
});

describe('zeroPhase', () => {
  const sections = butterworthLowPass({ ...design, passes: 2 });
  const noisy = Float64Array.from({ length: 300 }, (_, i) => Math.sin(i / 9) + Math.sin(i * 1.7));

  test('each stretch is filtered as if it were alone', () => {
    const x = noisy.slice();
    x[100] = Number.NaN;
    const whole = zeroPhase(sections, x);
    expect(whole[100]).toBeNaN();
    expect(whole.subarray(0, 100)).toEqual(zeroPhase(sections, noisy.slice(0, 100)));
    expect(whole.subarray(101)).toEqual(zeroPhase(sections, noisy.slice(101)));
  });

  test('may write over its input', () => {
    const x = noisy.slice();
    zeroPhase(sections, x, x);
    expect(x).toEqual(zeroPhase(sections, noisy));
  });

  test('turned in time, the same comes out turned in time, far from the ends', () => {
    const x = Float64Array.from({ length: 2000 }, (_, i) => Math.sin(i / 9) + Math.sin(i * 1.7));
    const forward = zeroPhase(sections, x).subarray(900, 1100);
    const turned = zeroPhase(sections, x.slice().reverse()).reverse().subarray(900, 1100);
    forward.forEach((value, i) => expect(turned[i]).toBeCloseTo(value, 9));
  });

  test('stretches shorter than the continuation are continued by what they have', () => {
    expect([...zeroPhase(sections, Float64Array.of(5))]).toHaveLength(1);
    expect(zeroPhase(sections, Float64Array.of(5))[0]).toBeCloseTo(5, 9);
    for (const value of zeroPhase(sections, Float64Array.of(3, 3, 3, 3))) {
      expect(value).toBeCloseTo(3, 9);
    }
    expect(zeroPhase(sections, new Float64Array())).toHaveLength(0);
  });
});

describe('a causal filter', () => {
  test('begins anew after a hole, from the steady state of the next sample', () => {
    const x = Float64Array.of(100, 100, 100, NaN, -40, -40, Infinity, 7);
    const out = new Float64Array(8);
    sweep(cascade(butterworthLowPass({ ...design, passes: 1 })), x, out, 8);
    [100, 100, 100, NaN, -40, -40, NaN, 7].forEach((value, i) => {
      if (Number.isNaN(value)) expect(out[i]).toBeNaN();
      else expect(out[i]).toBeCloseTo(value, 9);
    });
  });

  test('restart forgets', () => {
    const filter = cascade(butterworthLowPass({ ...design, passes: 1 }));
    const out = new Float64Array(1);
    sweep(filter, Float64Array.of(100), out, 1);
    restart(filter);
    sweep(filter, Float64Array.of(-5), out, 1);
    expect(out[0]).toBeCloseTo(-5, 9);
  });
});

test('a median repeats the ends of each stretch, and does not reach over a hole', () => {
  const x = Float64Array.of(1, 9, 2, NaN, 5, 5, 50);
  expect([...movingMedian(x, { window: 3, beyond: 'repeat' })]).toEqual([1, 2, 2, NaN, 5, 5, 50]);
  expect([...movingMedian(x, { window: 3, beyond: 'zero' })]).toEqual([1, 2, 2, NaN, 5, 5, 5]);
  expect(() => movingMedian(x, { window: 4, beyond: 'zero' })).toThrow(RangeError);
});
