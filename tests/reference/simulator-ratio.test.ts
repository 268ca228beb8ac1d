/**
 * The end-to-end check by a known mistake: with the weight left in, the knee's flexion-extension ratio
 * rises with speed (Aagaard 1995, Acta Physiol Scand: 0.58 -> 0.74 from 30 to 240 degrees a second,
 * corrected 0.47-0.54). Figures for this subject, 75 kg and 15 Nm, were worked out beforehand.
 */
import { describe, expect, test } from 'vitest';
import { analyze } from '../../shared/analysis.ts';
import type { AnalysisDocument, Phase } from '../../shared/analysis-types.ts';
import type { Gravity } from '../../shared/gravity/gravity.ts';
import { presetRecipe } from '../../shared/recipe/presets.ts';
import { PERFECT, TYPICAL } from '../../shared/simulation/outputs.ts';
import { SUBJECTS } from '../../shared/simulation/subjects.ts';
import { demoSignal, type DemoSignal } from '../support/demo-signal.ts';

const PATTERN = 'knee-extension-flexion';
const WEIGHT: Gravity = {
  kind: 'sinusoid',
  amplitude_Nm: -15,
  horizontalAt_deg: 0,
  offset_Nm: 0,
};
const NOT_REMOVED: Gravity = { kind: 'none' };

function knee(speed_degps: number, imperfections = TYPICAL): DemoSignal {
  const set = { kind: 'isokinetic', falling: 'concentric', rising: 'concentric' } as const;
  return demoSignal({
    seed: 1,
    pattern: PATTERN,
    subject: SUBJECTS[1],
    script: [{ ...set, speed_degps, repetitions: 3 }],
    imperfections,
  });
}

function analysed(signal: DemoSignal, gravity: Gravity): AnalysisDocument {
  const { rate_Hz, torque_Nm, angle_deg } = signal;
  const time_s = torque_Nm.map((_, i) => i / rate_Hz);
  return analyze(
    { rate_Hz, time_s, torque_Nm, angle_deg, velocity_degps: null, flags: [] },
    { pattern: PATTERN, gravity },
    presetRecipe({ mode: 'isokinetic', pattern: PATTERN }),
  );
}

function ratio({ ratios }: AnalysisDocument): number {
  return (
    ratios.find(({ name, measure }) => name === 'conventional' && measure === 'peakTorque')
      ?.value ?? NaN
  );
}

function best({ phases }: AnalysisDocument, direction: string): number {
  const peaks = phases.filter((phase) => phase.direction === direction);
  return Math.max(...peaks.map(({ peakTorque_Nm }) => peakTorque_Nm ?? NaN));
}

describe('15 Nm of weight', () => {
  const sets = new Map([60, 240].map((speed) => [speed, knee(speed)]));

  test('are what limb and attachment of the book subject weigh', () => {
    expect(sets.get(60)?.weight.amplitude_Nm).toBeCloseTo(-15, 1);
    expect(sets.get(60)?.weight.horizontalAt_deg).toBe(0);
  });

  test.each([
    [60, 0.66, 0.56],
    [240, 0.807, 0.628],
  ])('at %i degrees a second make the ratio %f instead of %f', (speed, wrong, right) => {
    const signal = sets.get(speed) ?? knee(speed);
    expect(Math.abs(ratio(analysed(signal, NOT_REMOVED)) - wrong)).toBeLessThan(0.03);
    expect(Math.abs(ratio(analysed(signal, WEIGHT)) - right)).toBeLessThan(0.03);
  });

  test('make extension too low and flexion too high, the more the faster', () => {
    const errors = [...sets.values()].map((signal) => {
      const [read, muscle] = [analysed(signal, NOT_REMOVED), analysed(signal, WEIGHT)];
      expect(best(read, 'extension')).toBeLessThan(best(muscle, 'extension'));
      expect(best(read, 'flexion')).toBeGreaterThan(best(muscle, 'flexion'));
      return ratio(read) - ratio(muscle);
    });
    expect(errors[1]).toBeGreaterThan(errors[0] ?? NaN);
  });

  test('without noise give 171.4 and 96.0 Nm at 60 degrees a second once removed', () => {
    const document = analysed(knee(60, PERFECT), WEIGHT);
    expect(Math.abs(best(document, 'extension') - 171.4)).toBeLessThan(1);
    expect(Math.abs(best(document, 'flexion') - 96)).toBeLessThan(1.5);
  });
});

describe.each([60, 240])('the truth at %i degrees a second', (speed) => {
  const signal = knee(speed);
  const { phases } = analysed(signal, WEIGHT);

  test('every phase is found', () => {
    expect(phases.map(({ direction, action }) => `${direction} ${action}`)).toEqual(
      Array.from({ length: 3 }, () => ['extension concentric', 'flexion concentric']).flat(),
    );
  });

  test.each(phases.map((phase) => [`${phase.repetition} ${phase.direction}`, phase] as const))(
    'the peak of %s is within 2 percent of the muscle’s',
    (_, phase) => {
      const peak_Nm = truePeak_Nm(signal, phase);
      expect(Math.abs((phase.loadRange?.peakTorque_Nm ?? NaN) / peak_Nm - 1)).toBeLessThan(0.02);
      expect(Math.abs((phase.peakTorque_Nm ?? NaN) / peak_Nm - 1)).toBeLessThan(0.02);
    },
  );
});

/** Largest muscle torque in the constant-velocity part. */
function truePeak_Nm({ truth, rate_Hz }: DemoSignal, { direction, loadRange }: Phase): number {
  const sign = direction === 'extension' ? -1 : 1;
  const first = Math.round((loadRange?.start_s ?? NaN) * rate_Hz);
  const end = Math.round((loadRange?.end_s ?? NaN) * rate_Hz);
  return Math.max(...truth.muscle_Nm.subarray(first, end).map((value) => sign * value));
}
