import { describe, expect, it } from 'vitest';
import { analyze } from '../../../shared/analysis.ts';
import { overlay } from '../../../shared/measures/overlay.ts';
import { compareSides } from '../../../shared/measures/sides.ts';
import { presetRecipe } from '../../../shared/recipe/presets.ts';
import { reciprocalSet } from '../../support/analysis-signal.ts';

describe('an overlay', () => {
  const curve = (range: number, peak: number, n: number) => {
    const angle_deg = Float64Array.from({ length: n }, (_, i) => 10 + (range * i) / (n - 1));
    const torque_Nm = angle_deg.map((angle) => peak * Math.sin((Math.PI * (angle - 10)) / range));
    return { angle_deg, torque_Nm };
  };

  it('of two ranges and rates has the mean of both at each share of the range', () => {
    const laid = overlay([curve(80, 100, 500), curve(90, 140, 777)]);
    expect(laid?.n).toBe(2);
    expect(laid?.range_pct[50]).toBe(50);
    expect(laid?.mean_Nm[50]).toBeCloseTo(120, 2);
    // SD of two numbers 40 apart, n - 1: 40 / sqrt 2.
    expect(laid?.sd_Nm[50]).toBeCloseTo(40 / Math.SQRT2, 2);
    expect(laid?.mean_Nm[25]).toBeCloseTo(120 * Math.SQRT1_2, 1);
  });

  it('reads a falling movement from its own start', () => {
    const { angle_deg, torque_Nm } = curve(80, 100, 500);
    const falling = { angle_deg: angle_deg.toReversed(), torque_Nm: torque_Nm.toReversed() };
    expect(overlay([falling])?.mean_Nm[50]).toBeCloseTo(100, 2);
    expect(overlay([falling])?.sd_Nm[50]).toBeNaN();
  });

  it('of nothing that moved is null', () => {
    const still = { angle_deg: new Float64Array(10), torque_Nm: new Float64Array(10) };
    expect(overlay([])).toBeNull();
    expect(overlay([still])).toBeNull();
    expect(overlay([{ angle_deg: [1], torque_Nm: [1] }])).toBeNull();
  });
});

describe('two sides', () => {
  const recipe = presetRecipe({ mode: 'isokinetic' });
  const side = (peaks_Nm: readonly [number, number], speed_degps = 60) =>
    analyze(reciprocalSet({ peaks_Nm, speed_degps }), { mode: 'isokinetic' }, recipe);

  it('are compared where both were measured alike, by every formula', () => {
    const rows = compareSides(side([165, 90]), side([190, 90]));
    const rising = rows.find(
      ({ effort, measure }) => effort === 'rising' && measure === 'bestPeakTorque_Nm',
    );
    expect(rising?.limbSymmetryIndex_pct).toBeCloseTo(86.84, 1);
    expect(rising?.differenceOfStronger_pct).toBeCloseTo(13.16, 1);
    expect(rows.map(({ measure }) => measure)).toContain('totalWork_J');
    const falling = rows.find(
      ({ effort, measure }) => effort === 'falling' && measure === 'bestPeakTorque_Nm',
    );
    expect(falling?.limbSymmetryIndex_pct).toBeCloseTo(100, 6);
  });

  it('at different speeds are not', () => {
    expect(compareSides(side([165, 90]), side([190, 90], 180))).toEqual([]);
  });
});
