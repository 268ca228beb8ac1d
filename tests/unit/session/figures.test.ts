/** What is said of a set: how near the best two are, worked by hand, and what the lever shows against the plan. */
import { describe, expect, it } from 'vitest';
import type { Phase } from '../../../shared/analysis-types.ts';
import { agreementsOf } from '../../../shared/session/agreement.ts';
import { mismatchOf } from '../../../shared/session/recognise.ts';
import { DEMO_SETUP } from '../../../shared/wire/setup.ts';

const phase = (effort: string, peakTorque_Nm: number | null, counts = true) =>
  ({ effort, peakTorque_Nm, counts, action: 'concentric' }) as Phase;

describe('the best two', () => {
  it('are compared a direction, among those that count: 100 (100 - 94) / 100 = 6 %', () => {
    const [first, second] = agreementsOf(
      [
        ...[phase('extension', 94), phase('flexion', 50), phase('extension', 130, false)],
        ...[phase('extension', 100), phase('extension', 80), phase('flexion', null)],
      ],
      5,
    );
    expect(first).toMatchObject({ effort: 'extension', best_Nm: 100, second_Nm: 94, more: 1 });
    expect(first?.apart_pct).toBeCloseTo(6, 12);
    expect(second).toMatchObject({ effort: 'flexion', second_Nm: null, apart_pct: null, more: 1 });
  });

  it('that are just within the limit need no more', () => {
    expect(agreementsOf([phase('a', 100), phase('a', 95)], 5)[0]?.more).toBe(0);
    expect(agreementsOf([phase('a', 100), phase('a', 94.9)], 5)[0]?.more).toBe(1);
  });
});

describe('the lever', () => {
  const shown = { mode: 'isokinetic', speed_degps: 60, range_deg: [-35, 15] } as const;

  it('that does what is planned is not mentioned', () => {
    expect(mismatchOf(shown, DEMO_SETUP)).toBeNull();
    expect(mismatchOf({ ...shown, speed_degps: 66 }, DEMO_SETUP)).toBeNull();
  });

  it('at another speed, in another mode, over another range is', () => {
    expect(mismatchOf({ ...shown, speed_degps: 90 }, DEMO_SETUP)).toMatchObject({
      ...{ isSpeedOff: true, isModeOff: false, isRangeOff: false },
    });
    expect(mismatchOf({ ...shown, mode: 'isotonic', speed_degps: 0 }, DEMO_SETUP)).toMatchObject({
      ...{ isModeOff: true, isSpeedOff: false },
    });
    for (const range_deg of [
      [-35, 22],
      [-20, 10],
    ] as const) {
      expect(mismatchOf({ ...shown, range_deg }, DEMO_SETUP)?.isRangeOff).toBe(true);
    }
  });
});
