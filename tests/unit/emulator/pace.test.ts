import { describe, expect, test } from 'vitest';
import { createPace } from '../../../daemon/emulator/pace.ts';

const REAL = { pieceRate_Hz: 50, speedFactor: 1, ppm: 0, start_ns: 1_000 };

describe('pace', () => {
  test('ten minutes of uneven wake-ups give exactly ten minutes of pieces', () => {
    const pace = createPace(REAL);
    let now_ns = REAL.start_ns;
    let taken = 0;
    for (let k = 0; now_ns < REAL.start_ns + 600e9; k++) {
      now_ns += 7e6 + (k % 13) * 3e6;
      const { late, pieces } = pace.take(now_ns);
      taken += pieces - late;
    }
    expect(taken).toBe(Math.floor(((now_ns - REAL.start_ns) / 1e9) * 50));
  });

  test('nothing is due early, and the wait ends when something is', () => {
    const pace = createPace(REAL);
    expect(pace.take(REAL.start_ns + 19e6)).toEqual({ late: 0, pieces: 0 });
    expect(pace.wait_ms(REAL.start_ns + 19e6)).toBeCloseTo(1, 9);
    expect(pace.take(REAL.start_ns + 20e6)).toEqual({ late: 0, pieces: 1 });
    expect(pace.wait_ms(REAL.start_ns + 20e6)).toBeCloseTo(20, 9);
    expect(pace.wait_ms(REAL.start_ns + 90e6)).toBe(0);
  });

  test('after a stall the last second is caught up and the rest is late', () => {
    const pace = createPace(REAL);
    expect(pace.take(REAL.start_ns + 5.001e9)).toEqual({ late: 200, pieces: 50 });
    expect(pace.take(REAL.start_ns + 5.021e9)).toEqual({ late: 0, pieces: 1 });
  });

  test('a clock 120 ppm fast gains 12 samples in 100 s at 1 kHz', () => {
    const count = (ppm: number) => {
      const pace = createPace({ pieceRate_Hz: 1000, speedFactor: 1, ppm, start_ns: 0 });
      let taken = 0;
      for (let s = 0; s <= 100; s += 0.5) taken += pace.take((s + 1e-4) * 1e9).pieces;
      return taken;
    };
    expect(count(0)).toBe(100_000);
    expect(count(120)).toBe(100_012);
    expect(count(-120)).toBe(99_988);
  });

  test('ten times real pace is ten times the pieces', () => {
    const pace = createPace({ ...REAL, speedFactor: 10 });
    expect(pace.take(REAL.start_ns + 1e9).pieces).toBe(500);
  });
});
