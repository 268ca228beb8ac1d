/** The passive curve between its points, against scipy.interpolate.PchipInterpolator 1.10.1. */
import { describe, expect, it } from 'vitest';
import { curveTrouble, monotoneCubic } from '../../../shared/gravity/monotone-cubic.ts';

// python3 -c "from scipy.interpolate import PchipInterpolator as P; p = P(x, y); print(p(v), p.derivative()(v))"
const ANKLE = {
  x: [-20.0362, -15.5182, -4.3926, 8.0667, 19.8433, 26.1011],
  y: [-18.0472, -17.0099, -14.7238, -11.6554, -7.9079, -4.0002],
};
const BENT = { x: [0, 1, 2, 4, 5], y: [0, 2, 2, -1, 3] };

describe('monotone cubic', () => {
  it.each([
    [-20.0362, -18.0472, 0.23655639326542913],
    [-18, -17.56987029339403, 0.23146363425553565],
    [-10, -15.882731202557054, 0.19764540193045166],
    [0, -13.715469180598063, 0.23658045089514843],
    [8.0667, -11.6554, 0.2779931399958837],
    [15, -9.694080594634707, 0.3146726463144391],
    [22, -6.787428928957927, 0.5932618610513658],
    [26.1011, -4.0002, 0.7307145641160827],
  ])('ankle at %f', (x, value, slope) => {
    const curve = monotoneCubic(ANKLE.x, ANKLE.y);
    expect(curve.at(x)).toBeCloseTo(value, 12);
    expect(curve.slopeAt(x)).toBeCloseTo(slope, 12);
  });

  it.each([
    [0.25, 0.734375, 2.8125],
    [1.5, 2.0, 0.0],
    [3, 0.5, -2.25],
    [4.5, 0.27083333333333337, 4.541666666666667],
    [4.9, 2.4155000000000015, 5.835],
  ])('turning points at %f', (x, value, slope) => {
    const curve = monotoneCubic(BENT.x, BENT.y);
    expect(curve.at(x)).toBeCloseTo(value, 12);
    expect(curve.slopeAt(x)).toBeCloseTo(slope, 12);
  });

  it('two points are a straight line', () => {
    const curve = monotoneCubic([10, 20], [1, 3]);
    expect(curve.at(12.5)).toBeCloseTo(1.5, 14);
    expect(curve.slopeAt(12.5)).toBeCloseTo(0.2, 14);
  });

  it('has no value outside, nor for NaN', () => {
    const curve = monotoneCubic(ANKLE.x, ANKLE.y);
    for (const x of [-20.04, 26.2, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(curve.at(x)).toBeNaN();
      expect(curve.slopeAt(x)).toBeNaN();
    }
  });

  it('does not depend on what was asked before', () => {
    const fresh = (x: number) => monotoneCubic(ANKLE.x, ANKLE.y).at(x);
    const curve = monotoneCubic(ANKLE.x, ANKLE.y);
    for (const x of [-4.3926, 25, -20, 8.0667, -4.3926, 19.8433, 8.0667]) {
      expect(curve.at(x)).toBe(fresh(x));
    }
  });

  it('says what is wrong with points', () => {
    expect(curveTrouble([0, 1], [0, 1])).toBeNull();
    expect(curveTrouble([0], [0])).toContain('at least two');
    expect(curveTrouble([0, 1], [0])).toContain('unequal');
    expect(curveTrouble([0, 0], [0, 1])).toContain('point 2');
    expect(curveTrouble([0, 1], [0, Number.NaN])).toContain('point 2');
    expect(() => monotoneCubic([1, 0], [0, 1])).toThrow('must rise');
  });
});
