/** What lines do beyond the plain way: headers, notes, rates, stamps, wraps, restarts, damage. */
import { describe, expect, test } from 'vitest';
import type { TimeField } from '../../../shared/decode/index.ts';
import { hear, text, type Heard } from '../../support/wire.ts';

const HEADER = '# rate_Hz: 1000';

/** Lines with one channel that repeats the number of the line. */
function lines(stamps: readonly (number | string)[], time: TimeField = 'time_us'): Heard {
  const rows = stamps.map((stamp, i) => `${stamp},${i}`);
  return hear('lines', [text(HEADER, `${time},ai0`, ...rows)]);
}

/** [run, index] and the number of the line. */
const places = (heard: Heard): (number | undefined)[][] =>
  heard.rows.map(([run, index, , line]) => [run, index, line]);

const us = (n: number, first = 0): number[] =>
  Array.from({ length: n }, (_, i) => 1000 * (first + i));

describe('header and notes', () => {
  test('names, units and notes make the format; the time is the first raw column', () => {
    const heard = hear('lines', [
      text(
        '# station: North',
        '# rate_Hz: 500',
        'time_ms\ttorque_Nm\tangle_deg\tlamp',
        '0\t1\t2\t3',
        '2\t1.5\t-2\t4',
      ),
    ]);
    const [block] = heard.blocks;
    expect(block?.format).toEqual({
      rate_Hz: 500,
      integrity: 'text',
      notes: { station: 'North', rate_Hz: '500' },
      channels: [
        { name: 'time_ms', unit: 'ms', type: 'float64' },
        { name: 'torque_Nm', unit: 'Nm', type: 'float64' },
        { name: 'angle_deg', unit: 'deg', type: 'float64' },
        { name: 'lamp', unit: '', type: 'float64' },
      ],
    });
    expect(heard.rows).toEqual([
      [0, 0, 0, 1, 2, 3],
      [0, 1, 2, 1.5, -2, 4],
    ]);
  });

  test.each([',', ';', '\t', ' ', '   ', ' , '])('separator %j, with and without a return', (s) => {
    for (const end of ['\n', '\r\n']) {
      const rows =
        ['sample', 'a', 'b'].join(s) + end + [`0${s}1${s}2`, `1${s}3${s}4`, ''].join(end);
      const heard = hear('lines', [new TextEncoder().encode(rows)], { rate_Hz: 100 });
      expect(heard.rows).toEqual([
        [0, 0, 0, 1, 2],
        [0, 1, 1, 3, 4],
      ]);
      expect(heard.faults).toEqual([]);
    }
  });

  test('a decimal comma is never read as two numbers', () => {
    const heard = hear('lines', [text('sample;a', '0;1,5', '1;2,5')], { rate_Hz: 100 });
    expect(heard.rows).toEqual([]);
    expect(heard.counts.damagedFrames).toBe(2);
  });

  test('a separator at the end of the line is no field', () => {
    const heard = hear('lines', [text('sample,a,', '0,1,', '1,2,')], { rate_Hz: 100 });
    expect(heard.rows).toEqual([
      [0, 0, 0, 1],
      [0, 1, 1, 2],
    ]);
  });

  test('without a header the hints say what the fields are', () => {
    const rows = text('7,5,6', '8,7,8');
    const named = hear('lines', [rows], { rate_Hz: 100, names: ['sample', 'torque', 'angle'] });
    expect(named.rows).toEqual([
      [0, 7, 7, 5, 6],
      [0, 8, 8, 7, 8],
    ]);
    expect(named.blocks[0]?.format.channels.map(({ name }) => name)).toEqual([
      'sample',
      'torque',
      'angle',
    ]);
    const counted = hear('lines', [rows], { rate_Hz: 100, time: 'sample' });
    expect(counted.rows).toEqual(named.rows);
    expect(counted.blocks[0]?.format.channels.map(({ name }) => name)).toEqual([
      'sample',
      'ch1',
      'ch2',
    ]);
  });

  test('without header and hints nothing is guessed', () => {
    const heard = hear('lines', [text('7,5,6', '8,7,8', '9,1,2')]);
    expect(heard.rows).toEqual([]);
    expect(new Set(heard.faults.map(([code]) => code))).toEqual(new Set(['sourceUnreadable']));
  });

  test('a first column of another name is asked about', () => {
    const heard = hear('lines', [text('', 'Time,a', '0,1')]);
    expect(heard.faults[0]).toEqual([
      'headerContradiction',
      'first column Time: use time_s, time_ms, time_us, sample, or add time=',
      1,
    ]);
    const told = hear('lines', [text('Time,a', '0,1', '1,2')], { time: 'time_ms', rate_Hz: 1000 });
    expect(told.rows).toEqual([
      [0, 0, 0, 1],
      [0, 1, 1, 2],
    ]);
  });

  test('a counter without a rate is asked about', () => {
    const heard = hear('lines', [text('sample,a', '0,1', '1,2')]);
    expect(heard.rows).toEqual([]);
    expect(heard.faults[0]?.[1]).toMatch(/rate=1000/);
  });

  test('one damaged header changes nothing, the same one twice does', () => {
    const before = us(20).map((stamp) => `${stamp},1`);
    const after = us(20, 20).map((stamp) => `${stamp},2`);
    const once = hear('lines', [text(HEADER, 'time_us,ai0', ...before, 'time_us,aj0', ...after)]);
    expect(once.faults).toEqual([]);
    const twice = hear('lines', [
      text(HEADER, 'time_us,ai0', ...before, 'time_us,emg', 'time_us,emg', ...after),
    ]);
    expect(twice.faults).toEqual([['channelsChanged', 'time_us emg', 1]]);
    expect(twice.rows).toHaveLength(40);
  });

  test('a header of another width is believed when lines follow it', () => {
    const after = us(20, 20).map((stamp) => `${stamp},2,3`);
    const heard = hear('lines', [
      text(HEADER, 'time_us,ai0', ...us(20).map((t) => `${t},1`), 'time_us,ai0,ai1', ...after),
    ]);
    expect(heard.faults).toEqual([['channelsChanged', 'time_us ai0 ai1', 1]]);
    expect(heard.blocks.at(-1)?.columns).toHaveLength(3);
    expect(heard.rows).toHaveLength(40);
  });

  test('a width that changes without a word is left out and told', () => {
    const after = us(20, 20).map((stamp) => `${stamp},2,3`);
    const heard = hear('lines', [
      text(HEADER, 'time_us,ai0', ...us(20).map((t) => `${t},1`), ...after),
    ]);
    expect(heard.rows).toHaveLength(20);
    expect(heard.faults.at(-1)).toEqual(['headerContradiction', '3 fields where 2 belong', 1]);
  });
});

describe('rate', () => {
  const stamps = (rate_Hz: number, n: number, jitter = 0): number[] =>
    Array.from({ length: n }, (_, i) =>
      Math.round((1e6 * i) / rate_Hz + jitter * Math.sin(17 * i * i)),
    );
  const rateOf = (rows: readonly (number | string)[], time: TimeField): number | undefined =>
    hear('lines', [text(`${time},a`, ...rows.map((row) => `${row},1`))]).blocks[0]?.format.rate_Hz;

  test.each([50, 60, 100, 128, 250, 500, 960, 1000, 1024, 2000, 5000, 10_000])(
    '%d Hz is found from jittered microseconds with lost lines',
    (rate_Hz) => {
      const jittered = stamps(rate_Hz, 1200, 40_000 / rate_Hz).filter((_, i) => i % 23 !== 5);
      const found = rateOf(jittered, 'time_us') ?? 0;
      expect(Math.abs(found / rate_Hz - 1)).toBeLessThan(0.005);
      if (rate_Hz % 50 === 0) expect(found).toBe(rate_Hz);
    },
  );

  test.each([300, 500, 700, 900, 1000, 2000])(
    '%d Hz is found from whole milliseconds',
    (rate_Hz) => {
      const coarse = Array.from({ length: 1200 }, (_, i) => Math.floor((1e3 * i) / rate_Hz));
      expect(rateOf(coarse, 'time_ms')).toBe(rate_Hz);
    },
  );

  test.each([997, 1004, 1024])('a device that is really at %d Hz is not rounded', (rate_Hz) => {
    expect(rateOf(stamps(rate_Hz, 1200, 20), 'time_us')).toBeCloseTo(rate_Hz, 0);
  });

  test('seconds with three decimals tell it too', () => {
    const coarse = Array.from({ length: 600 }, (_, i) => (i / 1000).toFixed(3));
    expect(rateOf(coarse, 'time_s')).toBe(1000);
  });

  test('no sample that waited for the rate is lost', () => {
    const rows = stamps(1000, 700).map((stamp, i) => `${stamp},${i}`);
    const heard = hear('lines', [text('time_us,a', ...rows)]);
    expect(heard.rows.map((row) => row[3])).toEqual([...Array(700).keys()]);
  });

  test('stamps that contradict the announced rate win, and it is told', () => {
    const heard = lines(us(400).map((stamp) => 2 * stamp));
    expect(
      heard.faults.some(
        ([code, detail]) =>
          code === 'headerContradiction' && detail === '1000 Hz, its time stamps say 500 Hz',
      ),
    ).toBe(true);
    expect(heard.blocks.at(-1)?.format.rate_Hz).toBe(500);
    expect(heard.rows).toHaveLength(400);
  });

  test('a device that changes its rate is followed', () => {
    const fast = Array.from({ length: 600 }, (_, i) => 600_000 + 500 * i);
    const rows = [...us(600), ...fast].map((stamp) => `${stamp},1`);
    const { blocks, faults } = hear('lines', [text('time_us,a', ...rows)]);
    expect([...new Set(blocks.map((block) => block.format.rate_Hz))]).toEqual([1000, 2000]);
    expect([...new Set(blocks.map((block) => block.run))]).toEqual([0, 1]);
    expect(faults.map(([code]) => code)).toContain('rateChanged');
  });
});

describe('stamps', () => {
  test.each(['time_s', 'time_ms', 'time_us', 'sample'] as const)(
    'a lost line of %s is a hole',
    (time) => {
      const perSample = { time_s: 0.001, time_ms: 1, time_us: 1000, sample: 1 }[time];
      const kept = [...Array(60).keys()].filter((i) => i !== 20 && !(i >= 30 && i < 37));
      const rows = kept.map((i) => `${Number((i * perSample).toFixed(6))},${i}`);
      const heard = hear('lines', [text(HEADER, `${time},ai0`, ...rows)]);
      expect(places(heard)).toEqual(kept.map((i) => [0, i, i]));
      expect(heard.counts.lostSamples).toBe(8);
      expect(heard.faults.map(([, detail]) => detail)).toEqual(['1 samples', '7 samples']);
    },
  );

  test('whole milliseconds that slip against the samples are no holes', () => {
    const slipping = [0, 1, 2, 3, 5, 5, 7, 7, 8, 10, 10, 11, 13, 13, 14, 15];
    const heard = lines(slipping, 'time_ms');
    expect(places(heard)).toEqual(slipping.map((_, i) => [0, i, i]));
    expect(heard.faults).toEqual([]);
  });

  test('lines printed late and caught up are no holes', () => {
    const late = [...us(10), 12_700, 12_800, 12_900, 13_000, 14_000, 15_000, 16_000];
    const heard = lines(late);
    expect(places(heard)).toEqual(late.map((_, i) => [0, i, i]));
    expect(heard.faults).toEqual([]);
  });

  test('micros that come round after 71.6 minutes go on without a seam', () => {
    const wrap = 2 ** 32;
    const stamps = Array.from({ length: 40 }, (_, i) => (wrap - 20_500 + 1000 * i) % wrap);
    const heard = lines(stamps);
    const first = Math.round((wrap - 20_500) / 1000);
    expect(places(heard)).toEqual(stamps.map((_, i) => [0, first + i, i]));
    expect(heard.faults).toEqual([]);
  });

  test('micros of a signed counter come round as well', () => {
    const stamps = Array.from({ length: 40 }, (_, i) => (2 ** 31 - 20_500 + 1000 * i) | 0);
    expect(new Set(lines(stamps).rows.map((row) => row[0]))).toEqual(new Set([0]));
  });

  test.each([16, 32])('a counter of %d bits comes round, also with a line lost there', (bits) => {
    const stamps = Array.from({ length: 30 }, (_, i) => (2 ** bits - 10 + i) % 2 ** bits);
    const heard = lines(stamps, 'sample');
    expect(places(heard)).toEqual(stamps.map((_, i) => [0, 2 ** bits - 10 + i, i]));
    const without = lines(
      stamps.filter((_, i) => i !== 10),
      'sample',
    );
    expect(without.rows.at(-1)?.[1]).toBe(2 ** bits + 19);
    expect(without.counts.lostSamples).toBe(1);
  });

  test('a time that jumps back begins a new run and drops nothing', () => {
    const stamps = [...us(20, 500), ...us(20)];
    const heard = lines(stamps);
    expect(places(heard)).toEqual(stamps.map((t, i) => [i < 20 ? 0 : 1, t / 1000, i]));
    expect(heard.faults).toEqual([['clockRestarted', '', 1]]);
    expect(heard.counts.duplicateSamples).toBe(0);
  });

  test('a clock that is set forward by years is a new run, not a hole of years', () => {
    const stamps = [...us(20), ...us(20, 1_700_000_000_000)];
    const heard = lines(stamps);
    expect(heard.counts.lostSamples).toBe(0);
    expect(heard.rows.map((row) => row[0])).toEqual(stamps.map((_, i) => (i < 20 ? 0 : 1)));
  });

  test('one damaged stamp makes neither a hole nor a run: only its line is left out', () => {
    for (const wrong of [5_000, 5_000_000, 0, 19_000, 21_300]) {
      const stamps = us(40);
      stamps[20] = wrong;
      const heard = lines(stamps);
      const kept = places(heard).filter(([, , line]) => line !== 20);
      expect(kept).toEqual([...Array(40).keys()].filter((i) => i !== 20).map((i) => [0, i, i]));
      expect(heard.counts.lostSamples).toBeLessThanOrEqual(1);
    }
  });

  test('a line that comes twice is counted and left out', () => {
    const rows = us(30).map((stamp, i) => `${stamp},${i}`);
    rows.splice(10, 0, rows[9] ?? '');
    const heard = hear('lines', [text(HEADER, 'time_us,ai0', ...rows)]);
    expect(places(heard)).toEqual([...Array(30).keys()].map((i) => [0, i, i]));
    expect(heard.counts.duplicateSamples).toBe(1);
  });

  test('a first line that was cut by our coming late is not read', () => {
    const rest = us(20, 1001).map((stamp, i) => `${stamp},${i}`);
    const heard = hear('lines', [text('0,77', ...rest)], {
      rate_Hz: 1000,
      names: ['time_us', 'ai0'],
    });
    expect(places(heard)).toEqual(rest.map((_, i) => [0, 1001 + i, i]));
    expect(heard.faults).toEqual([]);
  });

  test('nan and inf are missing, never zero', () => {
    const heard = hear('lines', [
      text(HEADER, 'time_us,a', '0,nan', '1000,-Inf', '2000,1e999', '3000,4'),
    ]);
    expect(heard.rows.map((row) => row[3])).toEqual([Number.NaN, Number.NaN, Number.NaN, 4]);
    expect(heard.faults.map(([code]) => code)).toEqual(Array(3).fill('notANumber'));
  });

  test('a line without an end is cut at 256 bytes', () => {
    const long = `${'1'.repeat(300)}`;
    const heard = hear('lines', [
      text(HEADER, 'time_us,a', '0,1', '1000,2', long, '2000,3', '3000,4'),
    ]);
    expect(heard.rows.map((row) => row[3])).toEqual([1, 2, 3, 4]);
    expect(heard.faults).toEqual([['frameDamaged', 'a line is longer than 256 bytes', 1]]);
    expect(heard.counts.unreadBytes).toBe(300);
  });
});
