import { describe, expect, it } from 'vitest';
import { analyze } from '../../../shared/analysis.ts';
import type { Conditions, Signal } from '../../../shared/analysis-types.ts';
import { presetRecipe } from '../../../shared/recipe/presets.ts';
import { changedRecipe } from '../../../shared/recipe/recipe.ts';
import { seeded } from '../../support/analysis-signal.ts';

const RATE_HZ = 1000;
const RECIPE = presetRecipe({ mode: 'isometric' });

interface Effort {
  readonly start_s: number;
  readonly peak_Nm: number;
  readonly held_s?: number;
}

/** Rises with 100 ms time constant, holds, falls with 80 ms; on a baseline that may change. */
function efforts(
  list: readonly Effort[],
  duration_s: number,
  baseline: (t: number) => number = () => 0,
): Signal {
  const random = seeded(3);
  const n = duration_s * RATE_HZ;
  const torque_Nm = Float64Array.from({ length: n }, (_, i) => {
    const t = i / RATE_HZ;
    const own = list.reduce((sum, { start_s, peak_Nm, held_s = 3 }) => {
      if (t < start_s) return sum;
      const risen = peak_Nm * (1 - Math.exp(-Math.min(t - start_s, held_s) / 0.1));
      return (
        sum + (t < start_s + held_s ? risen : risen * Math.exp(-(t - start_s - held_s) / 0.08))
      );
    }, 0);
    return own + baseline(t) + 0.4 * (random() - 0.5);
  });
  return {
    rate_Hz: RATE_HZ,
    time_s: torque_Nm.map((_, i) => i / RATE_HZ),
    torque_Nm,
    angle_deg: null,
    velocity_degps: null,
    flags: [],
  };
}

function found(signal: Signal, conditions: Conditions = {}, recipe = RECIPE) {
  return analyze(signal, { mode: 'isometric', ...conditions }, recipe).phases;
}

describe('efforts', () => {
  const three = efforts(
    [2, 8, 14].map((start_s) => ({ start_s, peak_Nm: 150 })),
    20,
  );

  it('are found one by one, with onset, end, peak above the baseline and rates', () => {
    const phases = found(three);
    expect(phases.map(({ repetition, counts }) => [repetition, counts])).toEqual([
      [1, true],
      [2, true],
      [3, true],
    ]);
    phases.forEach((phase, k) => {
      expect(Math.abs((phase.onset_s ?? 0) - (2 + 6 * k))).toBeLessThan(0.01);
      expect(phase.start_s).toBe(phase.onset_s);
      expect(phase.end_s).toBeGreaterThan(5 + 6 * k);
      expect(phase.end_s).toBeLessThan(5.5 + 6 * k);
      // The corner at the release overshoots by half a percent under 20 Hz.
      expect(Math.abs((phase.peakTorque_Nm ?? 0) / 150 - 1)).toBeLessThan(0.01);
      expect(phase.baseline_Nm).toBeCloseTo(0, 1);
      // Closed form 150 (1 - e^-2) / 0.2 s; 50 Hz and an onset some ms early take some of it.
      const expected = (150 * (1 - Math.exp(-2))) / 0.2;
      const rate = phase.rateOfTorqueDevelopment_Nmps?.['0-200'] ?? 0;
      expect(Math.abs(rate / expected - 1)).toBeLessThan(0.03);
      expect(phase).toMatchObject({ work_J: null, rangeOfMotion_deg: null, loadRange: null });
    });
  });

  it('the other way are efforts the other way, positive by their own direction', () => {
    const both = efforts(
      [
        { start_s: 2, peak_Nm: 150 },
        { start_s: 8, peak_Nm: -90 },
      ],
      14,
    );
    const phases = found(both, { pattern: 'knee-extension-flexion' });
    expect(phases.map(({ direction }) => direction)).toEqual(['flexion', 'extension']);
    expect(phases[1]?.peakTorque_Nm).toBeCloseTo(90, 0);
  });

  it('are measured above a baseline, however it lies and shifts', () => {
    // As on the real ankle: 40 Nm of passive torque before, 20 after; a shift is not an effort down.
    const signal = efforts([{ start_s: 3, peak_Nm: 200 }], 12, (t) => (t < 5 ? 40 : 20));
    const phases = found(signal);
    expect(phases).toHaveLength(1);
    expect(phases[0]?.baseline_Nm).toBeCloseTo(40, 0);
    expect(Math.abs((phases[0]?.peakTorque_Nm ?? 0) / 200 - 1)).toBeLessThan(0.01);
  });

  it('are as read when the weight is stated: no baseline is taken off', () => {
    const signal = efforts([{ start_s: 3, peak_Nm: 200 }], 10, () => 6);
    const [phase] = found(signal, { gravity: { kind: 'none' } });
    expect(Math.abs((phase?.peakTorque_Nm ?? 0) / 206 - 1)).toBeLessThan(0.01);
    expect(phase?.baseline_Nm).toBeNull();
  });

  it('that the signal begins or ends in are cut', () => {
    const begun = efforts([{ start_s: -2, peak_Nm: 150, held_s: 4 }], 8);
    expect(found(begun)[0]).toMatchObject({ counts: false, reasons: ['cut'], onset_s: null });
    const open = efforts([{ start_s: 3, peak_Nm: 150, held_s: 9 }], 8);
    expect(found(open)[0]).toMatchObject({ counts: false, reasons: ['cut'] });
  });

  it('do not end twice when the release is slow', () => {
    const slow = efforts([{ start_s: 2, peak_Nm: 100 }], 12, (t) =>
      t < 5 ? 0 : 30 * Math.exp(-(t - 5) / 1.5),
    );
    expect(found(slow)).toHaveLength(1);
  });

  it('are none in a quiet signal, on whatever level it lies', () => {
    expect(found(efforts([], 8))).toEqual([]);
    expect(found(efforts([], 8, () => -18))).toEqual([]);
  });

  it('many in a row take time in proportion', () => {
    // A search that looks at all earlier ones again would take minutes.
    const list = Array.from({ length: 20 }, (_, k) => ({
      start_s: 2 + 4 * k,
      peak_Nm: 150,
      held_s: 1.5,
    }));
    expect(found(efforts(list, 85))).toHaveLength(20);
  });
});

describe('the four rules of onset', () => {
  const signal = efforts([{ start_s: 3, peak_Nm: 200 }], 9, (t) => (t < 2.2 ? 0 : (t - 2.2) * 5));

  it.each([
    ['slope', 3, 0.012],
    // 7.5 Nm above a baseline that has crept by 4 Nm: the rest is passed 2 ms after the true onset.
    ['absolute', 3.002, 0.008],
    // 2.5 % of 200 Nm: crossed within the creep.
    ['percent', 3, 0.02],
    // 3 SD of a quiet baseline is passed as soon as torque begins to creep.
    ['deviation', 2.3, 0.15],
  ] as const)('%s', (rule, expected_s, slack_s) => {
    const recipe = changedRecipe(RECIPE, rule, { onset: { rule } });
    const [phase] = found(signal, {}, recipe);
    expect(Math.abs((phase?.onset_s ?? 0) - expected_s)).toBeLessThan(slack_s);
  });
});
