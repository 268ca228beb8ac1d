import { describe, expect, it } from 'vitest';
import { analyze } from '../../../shared/analysis.ts';
import type { Signal } from '../../../shared/analysis-types.ts';
import { presetRecipe } from '../../../shared/recipe/presets.ts';
import { opened } from '../../../shared/segmentation/envelope.ts';
import { reciprocalSet, withColumn } from '../../support/analysis-signal.ts';

const RECIPE = presetRecipe({ mode: 'isokinetic' });
const CONDITIONS = { mode: 'isokinetic', speed_degps: 60 } as const;

/** A bump of torque, a Gaussian of this width (full width at half maximum), in rising direction. */
function bumped(signal: Signal, at_s: number, height_Nm: number, width_s: number): Signal {
  const sd = width_s / 2.3548;
  return withColumn(signal, 'torque_Nm', (torque, i) => {
    return torque + height_Nm * Math.exp(-0.5 * ((signal.time_s[i] - at_s) / sd) ** 2);
  });
}

const clean = reciprocalSet({ repetitions: 1, noise: [0.5, 0.05] });
const [whole] = analyze(clean, CONDITIONS, RECIPE).phases;
const end_s = whole?.end_s ?? 0;
const start_s = whole?.start_s ?? 0;

describe('a spike of torque at a stop', () => {
  it.each([0.01, 0.02, 0.03])('of %f s is told and is not the peak', (width_s) => {
    const signal = bumped(clean, end_s - 0.02, 200, width_s);
    const { phases, flags } = analyze(signal, CONDITIONS, RECIPE);
    expect(phases[0]?.peakTorque_Nm).toBeCloseTo(whole?.peakTorque_Nm ?? 0, 1);
    expect(phases[0]?.['rawPeakTorque_Nm']).toBeGreaterThan(180);
    const impact = flags.find(({ kind }) => kind === 'stopImpact');
    expect(impact?.start_s).toBeCloseTo(end_s - 0.02, 2);
    expect(phases[0]?.counts).toBe(true);
  });

  it('of a lever caught at speed, just after the beginning, is kept out as well', () => {
    const signal = bumped(clean, start_s + 0.09, 200, 0.02);
    const { phases, flags } = analyze(signal, CONDITIONS, RECIPE);
    expect(phases[0]?.peakTorque_Nm).toBeCloseTo(whole?.peakTorque_Nm ?? 0, 0);
    expect(phases[0]?.loadRange?.peakTorque_Nm).toBeCloseTo(
      whole?.loadRange?.peakTorque_Nm ?? 0,
      0,
    );
    expect(flags.map(({ kind }) => kind)).toContain('stopImpact');
  });

  it('is told at 100 samples a second, too', () => {
    const slow = reciprocalSet({ repetitions: 1, rate_Hz: 100, noise: [0.5, 0.02] });
    const signal = bumped(slow, end_s - 0.02, 200, 0.03);
    const { phases } = analyze(signal, CONDITIONS, RECIPE);
    expect(Math.abs((phases[0]?.peakTorque_Nm ?? 0) / 100 - 1)).toBeLessThan(0.02);
  });
});

describe('what is not an impact', () => {
  it('a broad rise late in the movement: it is the peak', () => {
    const signal = bumped(clean, end_s - 0.2, 150, 0.3);
    const [phase] = analyze(signal, CONDITIONS, RECIPE).phases;
    expect(phase?.peakTorque_Nm).toBeGreaterThan(150);
  });

  it('a short rise in the middle of constant speed: muscles may do that', () => {
    const signal = bumped(clean, (start_s + end_s) / 2, 60, 0.05);
    const [phase] = analyze(signal, CONDITIONS, RECIPE).phases;
    expect(phase?.peakTorque_Nm).toBeGreaterThan(115);
  });

  it('anything in a clean set', () => {
    const { flags } = analyze(reciprocalSet({ noise: [2, 0.1] }), CONDITIONS, RECIPE);
    expect(flags.map(({ kind }) => kind)).not.toContain('stopImpact');
  });
});

describe('opening', () => {
  it('removes what is narrower than the width and keeps the rest', () => {
    const x = Float64Array.of(0, 0, 0, 9, 9, 0, 0, 0, 5, 5, 5, 5, 5, 0, 0);
    expect([...opened(x, 4)]).toEqual([0, 0, 0, 0, 0, 0, 0, 0, 5, 5, 5, 5, 5, 0, 0]);
  });
});
