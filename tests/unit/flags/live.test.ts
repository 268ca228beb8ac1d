/** The words and the course of live flags: begin, worst value, end; hysteresis, ladders, bursts. */
import { describe, expect, it } from 'vitest';
import { watchLive } from '../../../shared/flags/live.ts';
import { allTold, blocksOf, CONTEXT, murmur, told } from '../../support/flag-scenes.ts';

const RANGE = { range_deg: [0, 90] as const };

describe('range flags', () => {
  it('begin at the crossing and end with the worst value', () => {
    const angle = (i: number) => (i < 100 ? 80 : i < 300 ? 93 + (i === 200 ? 1.5 : 0) : 80);
    const [begin, end] = allTold({ n: 500, angle }, RANGE).filter((f) => f.kind === 'rangeBeyond');
    expect(begin).toMatchObject({
      start_s: 0.1,
      end_s: 0.1,
      value: 93,
      limit: 90,
      priority: 'high',
    });
    expect(begin.message).toBe('Past the range limit toward flexion: 93.0°, limit 90.0°.');
    expect(end).toMatchObject({ start_s: 0.1, end_s: 0.3, value: 94.5, unit: 'deg' });
  });

  it('the lower limit has the other word', () => {
    const [flag] = told({ n: 200, angle: (i) => (i > 50 && i < 90 ? -1.5 : 20) }, RANGE);
    expect(flag.message).toBe('Past the range limit toward extension: -1.5°, limit 0.0°.');
  });

  it('trembling at the limit is one flag', () => {
    const angle = (i: number) => 90 + 0.8 * Math.sin(i / 5);
    expect(told({ n: 1000, angle }, RANGE).filter((f) => f.kind === 'rangeBeyond')).toHaveLength(1);
    const wide = (i: number) => 90 + 3 * Math.sin(i / 5);
    const several = told({ n: 1000, angle: wide }, RANGE);
    expect(several.filter((f) => f.kind === 'rangeBeyond').length).toBeGreaterThan(20);
  });

  it('a fast limb is near by time, and the time is told', () => {
    const stream = {
      n: 500,
      angle: (i: number) => Math.min(60, 0.24 * i) + murmur(i) / 1000,
      velocity: (i: number) => (i < 250 ? 240 : 0),
    };
    const near = (limit: number) =>
      told(stream, { range_deg: [-20, limit] }).filter((flag) => flag.kind === 'rangeNear');
    // 240 deg/s for 50 ms is 12 degrees: near from 12 degrees before the limit on.
    expect(near(71)).toHaveLength(1);
    expect(near(73)).toHaveLength(0);
    const [begin] = allTold(stream, { range_deg: [-20, 71] });
    expect(begin.message).toBe(
      'Near the range limit toward flexion: 12.0° to go, there in 50 ms at this velocity.',
    );
  });

  it('an unknown angle changes nothing', () => {
    const angle = (i: number) => (i < 100 ? 45 : Number.NaN);
    expect(told({ n: 300, angle }, RANGE).map((flag) => flag.kind)).toEqual(['gap']);
  });
});

describe('overload', () => {
  const step = (height: number) => (i: number) => (i >= 100 && i < 300 ? height : 0) + murmur(i);

  it('climbs from near to above as two flags, one after the other', () => {
    const ramp = (i: number) => Math.min(320, i) + murmur(i);
    const flags = told({ n: 500, torque: ramp }, { torqueLimit_Nm: 300 });
    expect(flags.map(({ kind, priority, limit }) => [kind, priority, limit])).toEqual([
      ['overload', 'medium', 270],
      ['overload', 'high', 300],
    ]);
    expect(flags[0].end_s).toBe(flags[1].start_s);
    expect(flags[0].message).toMatch(
      /^Torque 300\.0 N·m is above 90 % of the limit of 300\.0 N·m\.$/,
    );
  });

  it('sees both directions', () => {
    const [flag] = told({ n: 500, torque: step(-310) }, { torqueLimit_Nm: 300 });
    expect(flag).toMatchObject({ priority: 'high', limit: -300 });
    expect(flag.message).toMatch(/^Torque 310\.\d N·m is above the limit/);
  });

  it('is told against the subject’s own largest, below the absolute levels', () => {
    const own = { torqueLimit_Nm: 300, referenceTorque_Nm: 80 };
    const kinds = (height: number) =>
      told({ n: 500, torque: step(height) }, own).map(({ message }) => message);
    expect(kinds(119)).toEqual([]);
    expect(kinds(125)[0]).toContain('far above the largest so far, 80.0 N·m');
  });
});

describe('bursts', () => {
  const spikes = (at: readonly number[]) => (i: number) => murmur(i) + (at.includes(i) ? 5 : 0);

  it('near spikes are one flag, distant ones two', () => {
    const [flag, ...others] = told({ n: 4000, torque: spikes([500, 900, 1300]) });
    expect(others).toEqual([]);
    expect(flag).toMatchObject({ kind: 'spike', start_s: 0.5, end_s: 1.301, unit: 'Nm' });
    expect(flag.message).toMatch(/^3 electrical spikes in torque, largest 5\.\d N·m\.$/);
    expect(told({ n: 4000, torque: spikes([500, 1800]) })).toHaveLength(2);
  });

  it('a knock that lasts is no spike', () => {
    const knock = (i: number) => murmur(i) + 40 * Math.exp(-((i - 500) ** 2) / 50);
    expect(told({ n: 2000, torque: knock })).toEqual([]);
  });

  it('a noisy channel is not full of spikes', () => {
    // Sum of many incommensurate waves: about Gaussian with an SD of 1.6 Nm.
    const noise = (i: number) =>
      Array.from({ length: 24 }, (_, k) => Math.sin(i * (1.1 + 0.37 * k) + k * k)).reduce(
        (a, b) => a + b,
      ) * 0.46;
    expect(
      told({ n: 20_000, torque: noise }).filter((f) => f.kind === 'spike').length,
    ).toBeLessThan(3);
  });

  it('what is usual for a channel is learnt in order, however it is cut', () => {
    // Neighbours 0.3 Nm apart in the mean: a limit of 2.5. The first stands out by 2.2, the second by 7.5.
    const rough = (i: number) => 0.45 * Math.sin(1.1 * i) + (i === 1500 ? 2.7 : i === 3000 ? 8 : 0);
    for (const sizes of [[1], [20], [333, 7], [4000]]) {
      const flags = allTold({ n: 4000, torque: rough }, {}, sizes);
      expect(flags.map((flag) => flag.start_s)).toEqual([3, 3]);
    }
  });

  it('a hole that is too long is told louder', () => {
    const [short] = told({ n: 2000, hole: [500, 550] });
    expect(short).toMatchObject({ kind: 'gap', priority: 'low', value: 50, limit: 50, unit: 'ms' });
    const [long] = told({ n: 2000, hole: [500, 551] });
    expect(long).toMatchObject({ priority: 'medium', value: 51, start_s: 0.5, end_s: 0.551 });
    expect(long.message).toContain('a phase with it does not count');
  });
});

describe('stuck', () => {
  it('a still angle is told only in a moving mode, with torque moving', () => {
    const angle = () => 30.5;
    const torque = (i: number) => 20 * Math.sin(i / 200) + murmur(i);
    const of = (mode: 'isokinetic' | 'isometric' | null) =>
      told({ n: 4000, angle, torque }, { mode }).map((flag) => flag.message);
    expect(of('isokinetic')).toEqual([
      'The angle channel has stood at exactly 30.5° for more than 1.0 s: is it connected?',
    ]);
    expect(of('isometric')).toEqual([]);
    expect(of(null)).toEqual([]);
    expect(told({ n: 4000, angle, torque: murmur }, { mode: 'isokinetic' })).toEqual([]);
  });

  it('a hole ends it', () => {
    const torque = (i: number) => (i < 2000 ? 3.25 : murmur(i));
    const flags = told({ n: 3000, torque, hole: [1500, 1600] });
    expect(flags.filter((f) => f.kind === 'stuck')).toMatchObject([{ start_s: 0, end_s: 1.5 }]);
  });
});

describe('saturated', () => {
  it('names channel and end; both ends in either order', () => {
    const torque = (i: number) => (i >= 100 && i < 150 ? -500 : murmur(i));
    for (const ends of [
      [-500, 500],
      [500, -500],
    ] as const) {
      const [flag] = told({ n: 500, torque }, { converterEnds: new Map([['torque_Nm', ends]]) });
      expect(flag).toMatchObject({ start_s: 0.1, end_s: 0.15, value: -500, priority: 'medium' });
      expect(flag.message).toContain('The torque channel is at its end (-500.0 N·m)');
    }
  });
});

describe('rate', () => {
  it('is asked once a second and ends when it is right again', () => {
    const answers = [1000, 1010, 1010, 1001, 1001];
    let asked = 0;
    const flags = told({ n: 5000 }, { measuredRate_Hz: () => answers[asked++] ?? null });
    expect(asked).toBe(4);
    expect(flags).toMatchObject([{ kind: 'rateOff', start_s: 2, end_s: 4, value: 1010 }]);
    expect(flags[0].message).toContain('1.00 % above the announced 1000.0 Hz');
  });

  it('an unknown rate is no flag', () => {
    expect(told({ n: 5000 }, { measuredRate_Hz: () => null })).toEqual([]);
  });
});

describe('a watcher', () => {
  it('says at the end what is still going on, and nothing twice', () => {
    const watcher = watchLive({ ...CONTEXT, ...RANGE });
    const begun = blocksOf({ n: 200, angle: (i) => (i < 100 ? 45 : 95) }).flatMap((block) =>
      watcher.push(block),
    );
    expect(begun.map((flag) => flag.kind).sort()).toEqual(['rangeBeyond', 'rangeNear']);
    expect(watcher.end()).toHaveLength(2);
    expect(watcher.end()).toEqual([]);
  });

  it('without torque or angle says nothing', () => {
    const watcher = watchLive({ ...CONTEXT, ...RANGE, torqueLimit_Nm: 10 });
    const block = { rate_Hz: 1000, index: 0, n: 20, afterGap: false, columns: new Map() };
    expect(watcher.push(block)).toEqual([]);
    expect(watcher.end()).toEqual([]);
  });
});
