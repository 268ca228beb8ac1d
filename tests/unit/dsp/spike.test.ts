/** A spike of one sample is repaired and told; anything wider, however high, is left alone. */
import { describe, expect, test } from 'vitest';
import { repairSpikes } from '../../../shared/dsp/spike.ts';
import { seeded } from '../../support/random-stream.ts';

const rule = { least: 5, spreads: 6 };

/** 10 s at 1 kHz of a torque that swings between 0 and 160 Nm with noise of 0.3 Nm. */
function torque(): Float64Array {
  const chance = seeded(4);
  return Float64Array.from({ length: 10_000 }, (_, i) => {
    return 80 - 80 * Math.cos(i / 250) + 0.6 * (chance() + chance() - 1);
  });
}

function bumped(...bumps: [index: number, by: number][]): Float64Array {
  const x = torque();
  for (const [index, by] of bumps) x[index] += by;
  return x;
}

describe('one sample wide', () => {
  test.each([6, -6, 30, -200, 3000])(
    'a spike of %d Nm is repaired to the line between its neighbours',
    (by) => {
      const x = bumped([4321, by]);
      const { repaired, spikes } = repairSpikes(x, rule);
      expect(spikes).toEqual([{ index: 4321, was: x[4321], is: (x[4320] + x[4322]) / 2 }]);
      expect(Math.abs(repaired[4321] - torque()[4321])).toBeLessThan(1);
      repaired[4321] = x[4321];
      expect(repaired).toEqual(x);
    },
  );

  test('on the steepest rise, 2000 Nm/s, a spike of 30 Nm is found', () => {
    const ramp = Float64Array.from({ length: 100 }, (_, i) => 2 * i);
    ramp[50] += 30;
    expect(repairSpikes(ramp, rule).spikes).toEqual([{ index: 50, was: 130, is: 100 }]);
  });

  test('below the least height nothing is touched', () => {
    expect(repairSpikes(bumped([4321, 4]), rule).spikes).toEqual([]);
  });

  test('in a signal rougher than the spike nothing is touched', () => {
    const chance = seeded(7);
    const x = Float64Array.from({ length: 2000 }, () => 40 * (chance() - 0.5));
    expect(repairSpikes(x, rule).spikes).toEqual([]);
  });
});

describe('a true overload stays, common practice, no source', () => {
  test.each([2, 3, 5, 20])('%d samples at the end of the converter', (width) => {
    const x = torque();
    x.fill(500, 4000, 4000 + width);
    const { repaired, spikes } = repairSpikes(x, rule);
    expect(spikes).toEqual([]);
    expect(repaired).toEqual(x);
  });

  test('a peak of three samples, the middle one highest', () => {
    const x = bumped([4000, 60], [4001, 120], [4002, 60]);
    expect(repairSpikes(x, rule).spikes).toEqual([]);
  });

  test.each([12, 25])('a stop impact: damped sine of %d Hz at 1 kHz', (frequency_Hz) => {
    const x = torque();
    for (let i = 0; i < 200; i += 1) {
      x[5000 + i] += 150 * Math.exp(-i / 40) * Math.sin((2 * Math.PI * frequency_Hz * i) / 1000);
    }
    expect(repairSpikes(x, rule).spikes).toEqual([]);
  });

  test('the same impact seen at only 100 Hz', () => {
    const x = Float64Array.from({ length: 200 }, (_, i) => {
      return i < 100
        ? 50
        : 50 + 150 * Math.exp(-(i - 100) / 4) * Math.sin((Math.PI * (i - 100)) / 2);
    });
    expect(repairSpikes(x, rule).spikes).toEqual([]);
  });
});

test('clean torque is left alone, bit for bit', () => {
  expect(repairSpikes(torque(), rule)).toEqual({ repaired: torque(), spikes: [] });
});

test('two samples at the ends of a stretch are never touched, and holes stay', () => {
  const x = Float64Array.of(0, 90, 0, 0, NaN, 0, 0, 0, 90, 0, 0, 0, 0);
  const { repaired, spikes } = repairSpikes(x, { least: 5, spreads: 6 });
  expect(spikes).toEqual([{ index: 8, was: 90, is: 0 }]);
  expect([...repaired]).toEqual([0, 90, 0, 0, NaN, 0, 0, 0, 0, 0, 0, 0, 0]);
});
