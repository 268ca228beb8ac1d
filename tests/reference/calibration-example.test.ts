/**
 * Worked calibration: eleven readings of known masses on a 0.5 m arm, up and down; numbers by
 * scipy.stats.linregress 1.10.1 and the usual formulas for hysteresis and linearity.
 */
import { describe, expect, it } from 'vitest';
import { judgeCalibration, TORQUE_LIMITS } from '../../shared/calibration/acceptance.ts';
import { type CalibrationPoint, fitCalibration } from '../../shared/calibration/fit.ts';
import { torqueOfMass } from '../../shared/calibration/known-mass.ts';
import { readingUncertainty } from '../../shared/calibration/uncertainty.ts';

const MASSES_KG = [0, 5, 10, 15, 20, 25, 20, 15, 10, 5, 0];
const OUTPUTS_V = [0.012, 0.258, 0.503, 0.75, 0.995, 1.242, 0.998, 0.753, 0.507, 0.261, 0.014];

const POINTS: readonly CalibrationPoint[] = MASSES_KG.map((mass_kg, i) => ({
  output: OUTPUTS_V[i],
  reference: torqueOfMass({ mass_kg, arm_m: 0.5 }),
  branch: i < 6 ? 'loading' : 'unloading',
}));

function fit() {
  const found = fitCalibration(POINTS);
  if (found === null) throw new Error('no fit');
  return found;
}

describe('worked calibration', () => {
  it('torques of the masses', () => {
    [0, 24.516625, 49.03325, 73.549875, 98.0665, 122.583125].forEach((torque, i) => {
      expect(POINTS[i].reference).toBeCloseTo(torque, 12);
    });
  });

  it('line', () => {
    expect(fit().slope).toBeCloseTo(99.73153568885719, 11);
    expect(fit().offset).toBeCloseTo(-1.335902644543495, 11);
    expect(fit().rSquared).toBeCloseTo(0.9999852538732341, 14);
    expect(fit().residualSd).toBeCloseTo(0.16659536539757386, 12);
    expect(fit().slopeError).toBeCloseTo(0.12765958707941, 12);
    expect(fit().offsetError).toBeCloseTo(0.08863912934857897, 12);
  });

  it('linearity and hysteresis', () => {
    expect(fit().fullScale).toBeCloseTo(122.583125, 12);
    expect(Math.max(...fit().residuals.map(Math.abs))).toBeCloseTo(0.21206872916597774, 12);
    expect(fit().linearity_pct).toBeCloseTo((100 * 0.21206872916597774) / 122.583125, 12);
    expect(fit().hysteresis).toBeCloseTo(0.39892614, 8);
    expect(fit().hysteresis_pct).toBeCloseTo(0.32543, 5);
  });

  it('is within the limits, but for the direction that was not loaded', () => {
    const { reasons, suspect } = judgeCalibration(POINTS, fit(), 150, TORQUE_LIMITS);
    expect(reasons).toEqual(['Loaded in one direction of rotation only.']);
    expect(suspect).toBeNull();
    const oneWay = { ...TORQUE_LIMITS, bothDirections: false };
    expect(judgeCalibration(POINTS, fit(), 150, oneWay)).toMatchObject({ isAccepted: true });
  });

  // Prediction of one more reading: RSD sqrt(1 + 1/n + (x - mean)² / Sxx), the textbook formula; mean and
  // Sxx of the outputs by numpy: 0.572090909..., 1.70299891 V².
  it('uncertainty of a reading', () => {
    const known = { reference_share: 0, step: 0 };
    const at = readingUncertainty(fit(), 1.1, known);
    const mean = OUTPUTS_V.reduce((total, v) => total + v, 0) / 11;
    const sxx = OUTPUTS_V.reduce((total, v) => total + (v - mean) ** 2, 0);
    const predicted = 0.16659536539757386 * Math.sqrt(1 + 1 / 11 + (1.1 - mean) ** 2 / sxx);
    expect(at.value).toBeCloseTo(99.73153568885719 * 1.1 - 1.335902644543495, 10);
    expect(at.combined).toBeCloseTo(predicted, 12);
    expect(at.expanded).toBeCloseTo(2 * predicted, 12);
  });

  // A converter of 16 bits over 20 V: 0.3052 mV a step, 0.03 Nm at 100 Nm/V.
  it('a step of the converter', () => {
    const step = 20 / 2 ** 16;
    expect(1000 * step).toBeCloseTo(0.3052, 4);
    const { contributions } = readingUncertainty(fit(), 1, { reference_share: 0.002, step });
    expect(contributions.resolution * Math.sqrt(12)).toBeCloseTo(0.03, 3);
    expect(contributions.reference).toBeCloseTo(0.002 * 98.3956, 4);
  });

  // cos(5°) = 0.9962, cos(10°) = 0.9848: a lever that is not level.
  it.each([
    [5, 0.9962],
    [10, 0.9848],
  ])('a lever %f degrees off horizontal', (lever_deg, share) => {
    const level = torqueOfMass({ mass_kg: 20, arm_m: 0.5 });
    expect(torqueOfMass({ mass_kg: 20, arm_m: 0.5, lever_deg }) / level).toBeCloseTo(share, 4);
  });
});
