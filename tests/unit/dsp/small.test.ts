/** The shorter functions of dsp at their edges; what scipy computes is in tests/reference. */
import { describe, expect, test } from 'vitest';
import { decimate } from '../../../shared/dsp/decimate.ts';
import { movingRms } from '../../../shared/dsp/moving-rms.ts';
import { notch } from '../../../shared/dsp/notch.ts';
import { response } from '../../../shared/dsp/response.ts';
import { advance } from '../../../shared/dsp/shift.ts';
import { welch } from '../../../shared/dsp/spectrum.ts';
import { cumulativeTrapezoid } from '../../../shared/dsp/trapezoid.ts';

describe('notch', () => {
  test.each([50, 60])(
    '%d Hz is gone, a constant stays, and -3 dB lie centre / quality apart',
    (centre_Hz) => {
      const design = [notch({ centre_Hz, rate_Hz: 1000, quality: 30 })];
      expect(response(design, centre_Hz, 1000).gain).toBeLessThan(1e-9);
      expect(response(design, 0, 1000).gain).toBeCloseTo(1, 12);
      const half_Hz = centre_Hz / 30 / 2;
      expect(response(design, centre_Hz - half_Hz, 1000).gain).toBeCloseTo(Math.SQRT1_2, 2);
      expect(response(design, centre_Hz + half_Hz, 1000).gain).toBeCloseTo(Math.SQRT1_2, 2);
    },
  );

  test('above half the rate there is none', () => {
    expect(() => notch({ centre_Hz: 60, rate_Hz: 100, quality: 30 })).toThrow(RangeError);
  });
});

describe('decimate', () => {
  test('a constant stays, to its ends when they are repeated', () => {
    const out = decimate(new Float64Array(95).fill(12), 10, 'repeat');
    expect(out).toHaveLength(10);
    for (const value of out) expect(value).toBeCloseTo(12, 12);
  });

  test('what would alias is taken away first', () => {
    const hum = Float64Array.from({ length: 2000 }, (_, i) => Math.sin(2 * Math.PI * 0.09 * i));
    for (const value of decimate(hum, 10, 'repeat').subarray(20, 180)) {
      expect(Math.abs(value)).toBeLessThan(0.01);
    }
  });

  test('by one changes nothing', () => {
    decimate(Float64Array.of(3, 1, 4, 1, 5), 1, 'repeat').forEach((value, i) => {
      expect(value).toBeCloseTo([3, 1, 4, 1, 5][i] ?? NaN, 12);
    });
  });
});

describe('movingRms', () => {
  test('of a sine over whole waves is its amplitude over the square root of two', () => {
    const sine = Float64Array.from({ length: 500 }, (_, i) => 3 * Math.sin((2 * Math.PI * i) / 50));
    for (const value of movingRms(sine, 100)) expect(value).toBeCloseTo(3 / Math.SQRT2, 12);
  });

  test('a missing sample spoils the windows that hold it and no other', () => {
    expect([...movingRms(Float64Array.of(3, 3, NaN, 4, 4, 4), 2)]).toEqual([3, NaN, NaN, 4, 4]);
  });

  test('a window longer than the signal fits nowhere', () => {
    expect(movingRms(Float64Array.of(1, 2), 3)).toHaveLength(0);
  });
});

describe('cumulativeTrapezoid', () => {
  test('runs straight across a missing sample', () => {
    const y = [2, 4, NaN, 8];
    expect([...cumulativeTrapezoid(y, [0, 1, 2, 3])]).toEqual([0, 3, NaN, 15]);
  });

  test('work of the analytic sweep, 150 sin(pi (th - 10) / 80) over 10 to 90 deg at 60 deg/s, 1 kHz', () => {
    const rad = Math.PI / 180;
    const angle_deg = Float64Array.from({ length: 1334 }, (_, i) => 10 + (60 * i) / 1000);
    const torque_Nm = angle_deg.map((at) => 150 * Math.sin((Math.PI * (at - 10)) / 80));
    const work_J = cumulativeTrapezoid(
      torque_Nm,
      angle_deg.map((at) => at * rad),
    );
    expect(work_J[1333]).toBeCloseTo(133.33325, 4);
  });

  test('nothing and one sample', () => {
    expect(cumulativeTrapezoid([], [])).toHaveLength(0);
    expect([...cumulativeTrapezoid([5], [1])]).toEqual([0]);
  });
});

describe('welch', () => {
  test('the density under a sine of amplitude 3 is its power, 4.5 (Parseval)', () => {
    const hum = Float64Array.from(
      { length: 4096 },
      (_, i) => 3 * Math.sin((2 * Math.PI * 50 * i) / 1024),
    );
    const spectrum = welch(hum, 1024, 1024);
    if (spectrum === null) return expect.fail();
    const power = spectrum.density.reduce((sum, density) => sum + density, 0);
    expect(power).toBeCloseTo(4.5, 9);
    expect(spectrum.frequency_Hz[spectrum.density.indexOf(Math.max(...spectrum.density))]).toBe(50);
  });

  test('pieces with a hole are left out; without a whole piece there is no spectrum', () => {
    const x = Float64Array.from({ length: 40 }, (_, i) => Math.sin(i));
    x[3] = Number.NaN;
    expect(welch(x, 100, 16)?.density.every(Number.isFinite)).toBe(true);
    expect(welch(x.subarray(0, 16), 100, 16)).toBeNull();
    expect(() => welch(x, 100, 12)).toThrow(RangeError);
  });
});

describe('advance', () => {
  const wave = (t: number) => Math.sin((2 * Math.PI * t) / 20);
  const x = Float64Array.from({ length: 100 }, (_, i) => wave(i));

  test('a whole number of samples copies the bits, either way', () => {
    expect([...advance(x, 7).subarray(0, 93)]).toEqual([...x.subarray(7)]);
    expect([...advance(x, -7).subarray(7)]).toEqual([...x.subarray(0, 93)]);
    expect(advance(x, 7).subarray(93).every(Number.isNaN)).toBe(true);
    expect(advance(x, -7).subarray(0, 7).every(Number.isNaN)).toBe(true);
  });

  test.each([0.5, 3.25, -2.7])(
    'by %d samples, a twentieth of the rate is met within 0.03 %%',
    (samples) => {
      const moved = advance(x, samples);
      for (let i = 10; i < 90; i += 1) {
        expect(Math.abs(moved[i] - wave(i + samples))).toBeLessThan(3e-4);
      }
    },
  );

  test('next to a hole the line serves, inside it nothing', () => {
    const line = Float64Array.of(0, 1, 2, 3, NaN, 5, 6, 7);
    expect([...advance(line, 0.5)]).toEqual([0.5, 1.5, 2.5, NaN, NaN, 5.5, 6.5, NaN]);
  });
});
