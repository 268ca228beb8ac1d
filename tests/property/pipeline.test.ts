/** What the live pipeline promises about signs, scale, holes and delays, on seeded streams. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { StreamBlock } from '../../shared/block/block.ts';
import { createPipeline, LIVE_CHOICES } from '../../shared/pipeline.ts';
import { calibrateWhole } from '../../shared/stages/calibrate.ts';
import type { Plan } from '../../shared/wiring/wire.ts';
import { cutAt, fullPlan, rawColumns, rawFormat } from '../support/random-stream.ts';

function columnsOf(plan: Plan, blocks: readonly StreamBlock[]): Record<string, number[]> {
  const pipeline = createPipeline(plan);
  const columns: Record<string, number[]> = {};
  for (const block of blocks) {
    for (const [name, column] of pipeline.push(block).columns) {
      (columns[name] ??= []).push(...column);
    }
  }
  return columns;
}

/** Torque and angle as they are, with delays of choice. */
function plain(torqueDelay_ms: number, angleDelay_ms: number, sign = 1): Plan {
  const [torque, angle] = fullPlan.columns;
  if (torque === undefined || angle === undefined) return expect.fail();
  return {
    ...fullPlan,
    columns: [
      { ...torque, slope: sign, offset: 0, delay_ms: torqueDelay_ms },
      { ...angle, slope: sign, offset: 0, delay_ms: angleDelay_ms },
    ],
  };
}

const places = [20, 40, 60, 77, 150];

test('turning every sign turns every column, bit for bit', () => {
  fc.assert(
    fc.property(fc.integer(), (seed) => {
      const blocks = cutAt(rawColumns(seed, 200, Infinity), places);
      const turned = columnsOf(plain(0, 0, -1), blocks);
      for (const [name, column] of Object.entries(columnsOf(plain(0, 0), blocks))) {
        expect(turned[name]).toEqual(column.map((value) => -value));
      }
    }),
    { numRuns: 20 },
  );
});

test('doubling the torque doubles what is drawn, bit for bit', () => {
  const [torque = expect.fail(), ...others] = rawColumns(8, 200, Infinity);
  const once = columnsOf(plain(0, 0), cutAt([torque, ...others], places));
  const twice = columnsOf(plain(0, 0), cutAt([torque.map((v) => 2 * v), ...others], places));
  expect(twice['torqueLive_Nm']).toEqual(once['torqueLive_Nm']?.map((value) => 2 * value));
});

test('a constant is drawn as that constant from its first sample on', () => {
  const constant = rawFormat.channels.map(() => new Float64Array(200).fill(150));
  const drawn = columnsOf(plain(0, 0), cutAt(constant, places));
  for (const value of drawn['torqueLive_Nm'] ?? []) expect(value).toBeCloseTo(150, 9);
  for (const value of drawn['velocity_degps']?.slice(1) ?? []) expect(value).toBeCloseTo(0, 6);
  expect(drawn['velocity_degps']?.[0]).toBeNaN();
});

test('a steady turn of 60 deg/s is read as 60 deg/s once the filter has followed', () => {
  const turning = rawFormat.channels.map(() =>
    Float64Array.from({ length: 400 }, (_, i) => 0.06 * i),
  );
  const velocity_degps = columnsOf(plain(0, 0), cutAt(turning, places))['velocity_degps'] ?? [];
  for (const value of velocity_degps.slice(200)) expect(value).toBeCloseTo(60, 2);
});

describe('holes', () => {
  test('are told once, on the block after them, by index or by run', () => {
    const pipeline = createPipeline(fullPlan);
    const [first = expect.fail()] = cutAt(rawColumns(1, 20, Infinity), []);
    const told = [
      first,
      { ...first, index: 20 },
      { ...first, index: 60 },
      { ...first, index: 80, run: 1 },
      { ...first, index: 100, run: 1 },
    ].map((block) => pipeline.push(block).afterGap);
    expect(told).toEqual([false, false, true, true, false]);
  });

  test('what comes after is computed as if nothing had been before', () => {
    const [early, late] = [rawColumns(3, 100, 60), rawColumns(4, 100, 60)];
    const alone = columnsOf(fullPlan, cutAt(late, places));
    const after = columnsOf(fullPlan, [...cutAt(early, []), ...cutAt(late, places, 101)]);
    for (const [name, column] of Object.entries(alone))
      expect(after[name]?.slice(100)).toEqual(column);
  });
});

describe('delays', () => {
  /** A wave that the angle shows 7.4 samples after the torque. */
  const late = 7.4;
  const wave = (t: number) => 40 * Math.sin((2 * Math.PI * t) / 200);
  const delayed = [0, late, 0].map((samples) =>
    Float64Array.from({ length: 400 }, (_, i) => wave(i - samples)),
  );

  test('live: the early channel is held back by whole samples until both tell of one instant', () => {
    const { torque_Nm = [], angle_deg = [] } = columnsOf(plain(0, late), cutAt(delayed, places));
    expect(torque_Nm.slice(0, 7).every(Number.isNaN)).toBe(true);
    for (let i = 7; i < 400; i += 1) {
      expect(Math.abs((torque_Nm[i] ?? NaN) - (angle_deg[i] ?? NaN))).toBeLessThan(0.51);
    }
  });

  test('whole: both tell of the true instant, the part of a sample included', () => {
    const columns = calibrateWhole(plain(0, late), delayed);
    for (let i = 0; i < 390; i += 1) {
      expect(columns.get('torque_Nm')?.[i]).toBe(wave(i));
      expect(Math.abs((columns.get('angle_deg')?.[i] ?? NaN) - wave(i))).toBeLessThan(0.005);
    }
    expect(columns.get('angle_deg')?.[399]).toBeNaN();
  });

  test('20 ms between torque and angle are 4.8 deg at 240 deg/s, and are taken away', () => {
    const angle = Float64Array.from({ length: 300 }, (_, i) => 0.24 * (i - 20));
    const columns = calibrateWhole(plain(0, 20), [angle, angle]);
    expect(angle[100]).toBeCloseTo(0.24 * 100 - 4.8, 9);
    expect(columns.get('angle_deg')?.[100]).toBeCloseTo(0.24 * 100, 9);
  });
});

test('a block that does not fit the plan is a programmer error', () => {
  const [block = expect.fail()] = cutAt(rawColumns(1, 20, Infinity).slice(0, 1), []);
  expect(() => createPipeline(fullPlan).push(block)).toThrow('3 channels');
});

test('a slow device gets a lower cut-off instead of none', () => {
  const slow = { ...fullPlan, rate_Hz: 25 };
  const [block = expect.fail()] = cutAt(rawColumns(1, 20, Infinity), []);
  const { columns } = createPipeline(slow, { ...LIVE_CHOICES, torqueCutOff_Hz: 20 }).push(block);
  expect(columns.get('torqueLive_Nm')?.every(Number.isFinite)).toBe(true);
});

test('blocks of many lengths keep memory bounded and numbers right', () => {
  const columns = rawColumns(5, 3000, Infinity);
  const cuts = Array.from({ length: 76 }, (_, k) => (k * (k + 1)) / 2);
  expect(columnsOf(fullPlan, cutAt(columns, cuts))).toEqual(
    columnsOf(fullPlan, cutAt(columns, [])),
  );
});
