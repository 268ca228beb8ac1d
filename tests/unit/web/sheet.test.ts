import { describe, expect, test } from 'vitest';
import { DEMO_SETUP } from '../../../shared/wire/setup.ts';
import { plotScale, sheetGeometry, yOf } from '../../../web/lib/geometry.ts';
import { roundTicks, scalesFor, timeTicks } from '../../../web/lib/scales.ts';
import { sheetSpan } from '../../../web/lib/sheet.ts';

const INPUT = {
  rate_Hz: 1000,
  sheet_s: 16,
  recordingFirst: null,
  sweepFirst: 2000,
  held: null,
} as const;

describe('which stretch lies on the sheet', () => {
  test('between sets the sheet starts anew when the pen has crossed it', () => {
    expect(sheetSpan({ ...INPUT, end: 2001 })).toMatchObject({ mode: 'sweep', first: 2000 });
    expect(sheetSpan({ ...INPUT, end: 18_000 })).toMatchObject({ first: 2000, start_s: 0 });
    expect(sheetSpan({ ...INPUT, end: 18_001 })).toMatchObject({ first: 18_000, start_s: 0 });
  });

  test('a set begins at 0 and a longer one turns the page, its clock going on', () => {
    const set = { ...INPUT, recordingFirst: 5000 };
    expect(sheetSpan({ ...set, end: 20_000 })).toMatchObject({
      mode: 'set',
      first: 5000,
      zero: 5000,
    });
    expect(sheetSpan({ ...set, end: 21_001 })).toMatchObject({
      first: 21_000,
      zero: 5000,
      start_s: 16,
    });
  });

  test('a held sheet stays until a new set begins', () => {
    const held = sheetSpan({ ...INPUT, recordingFirst: 5000, end: 9000 });
    expect(sheetSpan({ ...INPUT, end: 40_000, held })).toBe(held);
    expect(sheetSpan({ ...INPUT, end: 40_000, held, recordingFirst: 39_000 }).first).toBe(39_000);
  });
});

describe('places on the sheet', () => {
  const geometry = sheetGeometry(1174, 408, scalesFor(DEMO_SETUP));

  test('rows do not touch, and all lie on the sheet', () => {
    const { torque, angle, velocity } = geometry.rows;
    const edges = [
      torque.top,
      torque.bottom,
      angle.top,
      angle.bottom,
      velocity.top,
      velocity.bottom,
    ];
    expect(edges).toEqual([...edges].sort((a, b) => a - b));
    expect(new Set(edges).size).toBe(6);
    expect(geometry.loop.right).toBeLessThan(1174);
    expect(geometry.time.right).toBeLessThan(geometry.loop.left);
  });

  test('the plot shows a value at the height that labels and limits use', () => {
    const { rows, axisTop } = geometry;
    for (const row of Object.values(rows)) {
      const [min, max] = plotScale(row, 0, axisTop);
      for (const value of [row.min, (row.min + row.max) / 3, row.max]) {
        const inPlot = axisTop - ((value - min) / (max - min)) * axisTop;
        expect(inPlot).toBeCloseTo(yOf(row, value), 9);
      }
    }
  });

  test('limits lie inside the drawn scale', () => {
    const { angle, torque } = scalesFor(DEMO_SETUP);
    expect(angle[0]).toBeLessThan(DEMO_SETUP.rangeLimits_deg[0]);
    expect(angle[1]).toBeGreaterThan(DEMO_SETUP.rangeLimits_deg[1]);
    expect(torque[0]).toBeLessThan(-DEMO_SETUP.torqueLimit_Nm);
  });
});

describe('round numbers on the axes', () => {
  test('steps are round, through zero, and not too many', () => {
    expect(roundTicks(-126, 46, 5)).toEqual([-120, -80, -40, 0, 40]);
    expect(roundTicks(0, 90, 3)).toEqual([0, 40, 80]);
    expect(roundTicks(5, 5, 4)).toEqual([]);
  });

  test('times are multiples of a step that tells them apart', () => {
    expect(timeTicks(0, 16, 9)).toEqual({ times_s: [0, 2, 4, 6, 8, 10, 12, 14, 16], digits: 0 });
    const { times_s, digits } = timeTicks(24.67, 1.25, 8);
    expect(digits).toBe(1);
    expect(times_s.map((t) => t.toFixed(1))).toEqual([
      '24.8',
      '25.0',
      '25.2',
      '25.4',
      '25.6',
      '25.8',
    ]);
  });
});
