/**
 * Butterworth design, start-up and the exact correction of two passes.
 * Sources: coefficients and responses printed by scipy 1.10.1 (named at each); the correction from
 * Robertson & Dowling 2003, J Electromyogr Kinesiol 13:569.
 */
import { describe, expect, test } from 'vitest';
import {
  butterworthHighPass,
  butterworthLowPass,
  passCorrection,
} from '../../shared/dsp/butterworth.ts';
import { response } from '../../shared/dsp/response.ts';
import { cascade, sweep, type Section } from '../../shared/dsp/section.ts';
import { zeroPhase } from '../../shared/dsp/zero-phase.ts';

function second(cutOff_Hz: number, rate_Hz: number, passes: 1 | 2 = 1): Section {
  const [section] = butterworthLowPass({ order: 2, cutOff_Hz, rate_Hz, passes });
  return section ?? expect.fail();
}

function from(values: number[], atRest: boolean): number[] {
  const filter = cascade([second(10, 100)]);
  if (atRest) filter.memory.fill(0);
  const x = Float64Array.from(values);
  sweep(filter, x, x, x.length);
  return [...x];
}

describe('coefficients, scipy butter(2, fc, fs)', () => {
  test.each([
    [10, 100, [0.0674552738890719, 0.134910547778144, -1.1429805025399, 0.412801598096189]],
    [10, 1000, [0.000944691843840151, 0.0018893836876803, -1.91119706742607, 0.914975834801434]],
    [
      12,
      1000,
      [0.00134871194835634, 2 * 0.00134871194835634, -1.89346414636183, 0.898858994155252],
    ],
    [
      20,
      1000,
      [0.00362168151492864, 2 * 0.00362168151492864, -1.82269492519631, 0.837181651256023],
    ],
    [150, 1000, [0.131106439916626, 2 * 0.131106439916626, -0.747789178258503, 0.272214937925007]],
    [15, 100, [0.131106439916626, 2 * 0.131106439916626, -0.747789178258503, 0.272214937925007]],
  ])('%d Hz at %d', (cutOff_Hz, rate_Hz, expected) => {
    const { b0, b1, b2, a1, a2 } = second(cutOff_Hz, rate_Hz);
    expect(b2).toBe(b0);
    [b0, b1, a1, a2].forEach((found, k) => expect(found).toBeCloseTo(expected[k] ?? NaN, 13));
  });

  test('fourth order, scipy butter(4, 10, fs=1000, output="sos")', () => {
    const [one, two] = butterworthLowPass({ order: 4, cutOff_Hz: 10, rate_Hz: 1000, passes: 1 });
    expect((one?.b0 ?? NaN) / 8.984861463970646e-7).toBeCloseTo(1, 9);
    expect(one?.a1).toBeCloseTo(-1.886609582621506, 12);
    expect(one?.a2).toBeCloseTo(0.890339736284024, 12);
    expect(two).toMatchObject({ b0: 1, b1: 2, b2: 1 });
    expect(two?.a1).toBeCloseTo(-1.949215958025842, 12);
    expect(two?.a2).toBeCloseTo(0.953069895327891, 12);
  });
});

describe('the first samples, scipy lfilter of butter(2, 0.2)', () => {
  test('impulse response', () => {
    const expected = [
      0.067455273889, 0.212010610627, 0.281933623306, 0.234726315569, 0.15190495187, 0.076729000045,
      0.02499314414, -0.00310717739, -0.013868653017, -0.014568952203,
    ];
    from([1, 0, 0, 0, 0, 0, 0, 0, 0, 0], true).forEach((found, i) => {
      expect(found).toBeCloseTo(expected[i] ?? NaN, 11);
    });
  });

  test('step response from rest', () => {
    const expected = [
      0.067455, 0.279466, 0.5614, 0.796126, 0.948031, 1.02476, 1.049753, 1.046646, 1.032777,
      1.018208,
    ];
    from(Array<number>(10).fill(1), true).forEach((found, i) => {
      expect(found).toBeCloseTo(expected[i] ?? NaN, 6);
    });
  });

  test('memory of the steady state, scipy lfilter_zi', () => {
    const { b0, b2, a2 } = second(10, 100);
    expect(1 - b0).toBeCloseTo(0.932544726110928, 13);
    expect(b2 - a2).toBeCloseTo(-0.345346324207117, 13);
    const filter = cascade([second(10, 100)]);
    const x = Float64Array.of(5);
    sweep(filter, x, x, 1);
    expect(filter.memory[0]).toBeCloseTo(5 * 0.932544726110928, 11);
    expect(filter.memory[1]).toBeCloseTo(5 * -0.345346324207117, 11);
  });

  test('a constant stays that constant from the first sample on: no false transient', () => {
    for (const value of from(Array<number>(50).fill(-37.5), false))
      expect(value).toBeCloseTo(-37.5, 12);
  });
});

test('filtfilt(butter(2, .2)) with its odd padding of 9, x = 1..10, 9..0', () => {
  const x = Float64Array.from({ length: 20 }, (_, i) => (i < 10 ? i + 1 : 19 - i));
  const expected = [
    0.995162260001, 2.012557298136, 3.045272689845, 4.099203941772, 5.170391219729, 6.235856993083,
    7.243077354345, 8.103067868872, 8.696956995956, 8.911161091806, 8.696978347999, 8.103242060217,
    7.243651998949, 6.237143275369, 5.172635106948, 4.102337639957, 3.04852488064, 2.013968483112,
    0.991183983293, -0.030814693893,
  ];
  zeroPhase([second(10, 100)], x).forEach((found, i) => {
    expect(found).toBeCloseTo(expected[i] ?? NaN, 11);
  });
});

describe('exact correction of two passes (Robertson & Dowling 2003)', () => {
  test.each([
    [2, 2, 0.8022432629],
    [1, 2, 0.6435942529],
    [3, 2, 0.8633841119],
    [4, 2, 0.8956803352],
    [2, 4, 0.6595297128],
  ])('order %d, %d passes: C = %d', (order, passes, expected) => {
    expect(passCorrection(order, passes)).toBeCloseTo(expected, 10);
  });

  test.each([
    [10, 1000, [0.00145186336625136, -1.88936292048818, 0.89517037395318]],
    [10, 100, [0.0944467438848507, -0.962641308844206, 0.34042828438361]],
    [6, 100, [0.0405946814474404, -1.35474881519883, 0.517127540988588]],
    [150, 1000, [0.175263680580916, -0.518437708464995, 0.219492430788658]],
  ])('W / C after tan, %d Hz at %d', (cutOff_Hz, rate_Hz, expected) => {
    const { b0, a1, a2 } = second(cutOff_Hz, rate_Hz, 2);
    [b0, a1, a2].forEach((found, k) => expect(found).toBeCloseTo(expected[k] ?? NaN, 13));
  });

  test.each([1, 2, 3, 4, 6])(
    'order %d: two passes leave exactly 0.7071067811865 at the cut-off',
    (order) => {
      for (const design of [butterworthLowPass, butterworthHighPass]) {
        const sections = design({ order, cutOff_Hz: 10, rate_Hz: 1000, passes: 2 });
        expect(response(sections, 10, 1000).gain ** 2).toBeCloseTo(Math.SQRT1_2, 10);
      }
    },
  );

  test('without it two passes leave 0.5', () => {
    expect(response([second(10, 1000)], 10, 1000).gain ** 2).toBeCloseTo(0.5, 10);
  });
});

test('group delay of one causal pass near 0 Hz is sqrt(2) / (2 pi fc), at 1 kHz', () => {
  for (const [cutOff_Hz, delay_ms] of [
    [6, 37.51],
    [10, 22.5],
    [12, 18.75],
    [15, 14.99],
    [20, 11.24],
    [50, 4.46],
    [150, 1.39],
  ] as const) {
    const { phase_rad } = response([second(cutOff_Hz, 1000)], 0.01, 1000);
    expect((-phase_rad / (2 * Math.PI * 0.01)) * 1000).toBeCloseTo(delay_ms, 2);
  }
});

test.each([0, 500, 600, Number.NaN])('a cut-off of %d Hz at 1 kHz is refused', (cutOff_Hz) => {
  expect(() => second(cutOff_Hz, 1000)).toThrow(RangeError);
});
