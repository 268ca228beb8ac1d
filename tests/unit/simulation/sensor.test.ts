import { describe, expect, test } from 'vitest';
import { createSimulation } from '../../../shared/simulation/index.ts';
import { PERFECT } from '../../../shared/simulation/outputs.ts';
import { createRandom } from '../../../shared/simulation/random.ts';
import { createConverter } from '../../../shared/simulation/sensor.ts';

const OUTPUT = {
  gain_V: 0.02,
  zero_V: 0,
  noise: 0,
  hum: 0,
  drift: 0,
  bias: 0,
  delay_s: 0,
  spikes: 0,
};

describe('outputs of the machine', () => {
  test('ten volts are the ends of the converter, and nothing goes beyond', () => {
    const convert = createConverter(OUTPUT, createRandom(1, 'x'), 1000);
    expect([0, 100, 250, 500, 600, -500, -600].map(convert)).toEqual([
      0, 6554, 16384, 32767, 32767, -32768, -32768,
    ]);
  });

  test('spikes come as often as asked and stand alone', () => {
    const convert = createConverter({ ...OUTPUT, spikes: 0.01 }, createRandom(1, 'x'), 1000);
    const counts = Array.from({ length: 20_000 }, () => convert(0));
    const spikes = counts.filter((count) => count !== 0);
    // 200 expected of a binomial: within five standard deviations.
    expect(Math.abs(spikes.length - 200)).toBeLessThan(71);
    expect(spikes.every((count) => Math.abs(count) >= 3276 && Math.abs(count) <= 16384)).toBe(true);
  });

  test('drift is slow, bounded, and about 0.1 Nm a minute', () => {
    const convert = createConverter({ ...OUTPUT, drift: 0.2, gain_V: 1 }, createRandom(2, 'x'), 10);
    const values_Nm = Array.from({ length: 36_000 }, () => convert(0) / 3276.8);
    expect(Math.max(...values_Nm.map(Math.abs))).toBeLessThan(1);
    const perMinute = values_Nm.slice(600).map((value, i) => value - (values_Nm[i] ?? NaN));
    const rms = Math.sqrt(perMinute.reduce((sum, d) => sum + d * d, 0) / perMinute.length);
    expect(rms).toBeGreaterThan(0.05);
    expect(rms).toBeLessThan(0.2);
  });

  test('a torque output that is 20 ms late reads what was true 20 ms before', () => {
    const simulation = createSimulation({
      script: [
        {
          kind: 'isokinetic',
          speed_degps: 120,
          repetitions: 1,
          falling: 'concentric',
          rising: 'concentric',
        },
      ],
      imperfections: { ...PERFECT, torqueDelay_s: 0.02 },
    });
    const { columns, truth } = simulation.next(3000);
    const { slope = 1, offset = 0 } = simulation.wiring.channels[0] ?? {};
    for (let i = 20; i < 3000; i++) {
      const read_Nm = slope * (columns[0]?.[i] ?? NaN) + offset;
      expect(Math.abs(read_Nm - (truth.sensor_Nm[i - 20] ?? NaN))).toBeLessThan(slope);
    }
  });
});
