/** Sizes for the eye against the definition of the visual angle and the figures of the design. */
import { describe, expect, it } from 'vitest';
import {
  corridorOf,
  CORRIDOR_SHARE,
  FIRST_SCREEN,
  leastFont_mm,
  lengthOf_mm,
  levelOn,
  scaleOf,
  targetTorque_Nm,
} from '../../../shared/session/screen.ts';

describe('sizes', () => {
  it('one degree at one metre is 17.46 mm: 2 d tan(angle / 2), by hand', () => {
    expect(lengthOf_mm(1, 1)).toBeCloseTo(17.4537, 3);
    expect(lengthOf_mm(1, 3)).toBeCloseTo(52.361, 2);
  });

  it('20 arcmin of capitals need 8.71 mm of font a metre, with capitals of 0.668 em', () => {
    expect(leastFont_mm(1)).toBeCloseTo(8.71, 2);
  });
});

describe('a corridor', () => {
  const corridor = {
    ...FIRST_SCREEN,
    form: 'corridor',
    target: { kind: 'share', share_pct: 50, greatest_Nm: 120 },
  } as const;

  it('aims at the share of the greatest effort', () => {
    expect(targetTorque_Nm(corridor)).toBe(60);
  });

  it('spans twice the target where its band is wide, and has its target in the middle', () => {
    const wide = { ...corridor, band_pct: 40, distance_m: 1 };
    const scale = scaleOf(wide, 120);
    expect(scale).toEqual({ low_Nm: 0, high_Nm: 120 });
    expect(corridorOf(wide, scale)).toMatchObject({ level: 0.5, half: 0.2 });
  });

  it('raises the gain until half the band is one degree', () => {
    for (const distance_m of [1, 2, 3]) {
      const narrow = { ...corridor, band_pct: 4, distance_m };
      const scale = scaleOf(narrow, 120);
      const half = corridorOf(narrow, scale)?.half ?? 0;
      const height_mm = CORRIDOR_SHARE * narrow.width_mm * (9 / 16);
      expect(half * height_mm).toBeCloseTo(lengthOf_mm(1, distance_m), 6);
      expect(levelOn(scale, 60)).toBeCloseTo(0.5, 12);
    }
  });

  it('without a target, or as a climb, spans nothing to the top of the set', () => {
    expect(scaleOf({ ...corridor, target: null }, 80)).toEqual({ low_Nm: 0, high_Nm: 80 });
    const climb = { ...corridor, form: 'climb' } as const;
    expect(corridorOf(climb, scaleOf(climb, 80))).toBeNull();
  });
});
