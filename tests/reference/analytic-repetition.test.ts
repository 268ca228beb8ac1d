/** Outside check: closed forms worked out by hand (domain dossier 2.7), to the digits it prints. */
import { describe, expect, it } from 'vitest';
import { impulse } from '../../shared/measures/impulse.ts';
import { measureAll } from '../../shared/measures/index.ts';
import { integral } from '../../shared/measures/integral.ts';
import { steadinessOf } from '../../shared/measures/steadiness.ts';
import { presetRecipe } from '../../shared/recipe/presets.ts';
import { changedRecipe } from '../../shared/recipe/recipe.ts';
import { analyze } from '../../shared/analysis.ts';
import { phaseWindow, sampled } from '../support/phase-window.ts';

describe('10 to 90 deg at 60 deg/s, torque 150 sin(pi (theta - 10) / 80)', () => {
  /** 1334 samples at 1 kHz, start inclusive, as the dossier's trapezoid. */
  function repetition(rate_Hz: number) {
    const angle_deg = sampled(80 / 60, rate_Hz, (t) => 10 + 60 * t);
    const torque_Nm = angle_deg.map((angle) => 150 * Math.sin((Math.PI * (angle - 10)) / 80));
    return phaseWindow({
      rate_Hz,
      angle_deg,
      torque_Nm,
      velocity_degps: angle_deg.map(() => 60),
      targetSpeed_degps: 60,
      bodyMass_kg: 75,
      recipe: changedRecipe(presetRecipe({ mode: 'isokinetic' }), 'angles', {
        measures: { angles_deg: [30, 50, 95] },
      }),
    });
  }

  it('gives the work by trapezoid: 133.33325 J at 1 kHz, 133.32511 J at 100 Hz', () => {
    expect(measureAll(repetition(1000)).work_J).toBeCloseTo(133.33325, 4);
    expect(measureAll(repetition(100)).work_J).toBeCloseTo(133.32511, 4);
  });

  it('gives power, impulse and means: 100 W, 157.0796 W, 127.3240 Nm s, 95.4930 Nm', () => {
    const measured = measureAll(repetition(10_000));
    expect(measured.work_J).toBeCloseTo(133.3333, 3);
    expect(measured.meanPower_W).toBeCloseTo(100, 2);
    expect(measured.peakPower_W).toBeCloseTo(157.0796, 3);
    expect(measured.impulse_Nms).toBeCloseTo(127.324, 3);
    expect(measured.meanTorque_Nm).toBeCloseTo(95.493, 2);
    expect(measured.meanVelocity_degps).toBeCloseTo(60, 9);
  });

  it('gives the peak where it is, torque at angles, and nothing where the limb never was', () => {
    const measured = measureAll(repetition(1000));
    expect(measured.peakTorque_Nm).toBeCloseTo(150, 3);
    expect(measured.angleAtPeakTorque_deg).toBeCloseTo(50, 1);
    expect(measured.timeToPeakTorque_s).toBeCloseTo(40 / 60, 2);
    expect(measured.torqueAtAngle_Nm?.['30']).toBeCloseTo(150 * Math.SQRT1_2, 3);
    expect(measured.torqueAtAngle_Nm?.['50']).toBeCloseTo(150, 3);
    expect(measured.torqueAtAngle_Nm?.['95']).toBeNull();
    expect(measured.peakTorquePerMass_Nmpkg).toBeCloseTo(2, 4);
    expect(measured.workPerMass_Jpkg).toBeCloseTo(133.3333 / 75, 4);
    expect(measured.meanPowerPerMass_Wpkg).toBeCloseTo(100 / 75, 2);
    expect(measured.velocityOvershoot_pct).toBeCloseTo(0, 9);
    expect(measured.timeToSpeed_s).toBe(0);
    expect(measured.brakingTime_s).toBe(0);
  });

  it('by the whole analysis, between two rests, within what smoothing moves', () => {
    // Default recipe: 15 Hz on torque and 10 Hz on angle round the corners of the movement by some 30 ms
    // each, which lengthens it by about 4 %; work and peaks hardly feel it.
    const rest = (angle: number) => new Float64Array(1000).fill(angle);
    const rise = sampled(80 / 60, 1000, (t) => 10 + 60 * t);
    const angle_deg = Float64Array.of(...rest(10), ...rise, ...rest(90));
    const torque_Nm = angle_deg.map((angle) => 150 * Math.sin((Math.PI * (angle - 10)) / 80));
    const time_s = angle_deg.map((_, i) => i / 1000);
    const signal = { rate_Hz: 1000, time_s, torque_Nm, angle_deg, velocity_degps: null, flags: [] };
    const [phase, ...others] = analyze(signal, {}, presetRecipe({ mode: 'isokinetic' })).phases;
    expect(others).toEqual([]);
    expect(phase).toMatchObject({ direction: 'rising', action: 'concentric', counts: true });
    expect(phase?.work_J).toBeCloseTo(133.33, 1);
    expect(phase?.peakTorque_Nm).toBeCloseTo(150, 1);
    expect(phase?.impulse_Nms).toBeCloseTo(127.32, 1);
    expect(Math.abs((phase?.meanPower_W ?? 0) / 100 - 1)).toBeLessThan(0.06);
    expect(Math.abs((phase?.peakPower_W ?? 0) / 157.0796 - 1)).toBeLessThan(0.002);
    expect(Math.abs((phase?.rangeOfMotion_deg ?? 0) - 80)).toBeLessThan(0.3);
  });
});

describe('rate of torque development of 200 (1 - e^(-t / 0.1 s))', () => {
  const rate_Hz = 10_000;
  const torque_Nm = sampled(1, rate_Hz, (t) => 200 * (1 - Math.exp(-t / 0.1)));
  const window = phaseWindow({ rate_Hz, torque_Nm, fine_Nm: torque_Nm, onset: 0 });

  it('is 1573.8774, 1264.2411 and 864.6647 Nm/s to 50, 100 and 200 ms', () => {
    const rates = measureAll(window).rateOfTorqueDevelopment_Nmps;
    expect(rates?.['0-50']).toBeCloseTo(1573.8774, 3);
    expect(rates?.['0-100']).toBeCloseTo(1264.2411, 3);
    expect(rates?.['0-200']).toBeCloseTo(864.6647, 3);
  });

  it('is 954.6049 Nm/s from 50 to 100 ms', () => {
    const recipe = changedRecipe(window.recipe, 'late', { onset: { windows_ms: [50, 100] } });
    const late = measureAll({ ...window, recipe }).lateRateOfTorqueDevelopment_Nmps;
    expect(late).toBeCloseTo(954.6049, 3);
  });

  it('has its steepest 20 ms at the onset: 2000 (1 - e^-0.2) / 0.2 = 1812.6925 Nm/s', () => {
    expect(measureAll(window).peakRateOfTorqueDevelopment_Nmps).toBeCloseTo(1812.6925, 3);
  });

  it('has impulses 2.130613, 7.357589 and 22.706706 Nm s to 50, 100 and 200 ms', () => {
    const to = (end: number) => impulse.of({ ...window, end: end + 1 });
    expect(to(500)).toBeCloseTo(2.130613, 5);
    expect(to(1000)).toBeCloseTo(7.357589, 5);
    expect(to(2000)).toBeCloseTo(22.706706, 5);
  });
});

describe('steadiness', () => {
  it('of 50 + 2 sin is a coefficient of variation of 2.828427 %', () => {
    // Whole periods: the SD of a sine is its amplitude / sqrt 2 (n - 1 differs by 1e-5 of it).
    const torque_Nm = Float64Array.from({ length: 100_000 }, (_, i) => {
      return 50 + 2 * Math.sin((2 * Math.PI * i) / 1000);
    });
    const steady = steadinessOf(torque_Nm, 1000, null, 5);
    expect(steady?.['cv_pct']).toBeCloseTo(2.828427, 4);
    expect(steady?.['mean_Nm']).toBeCloseTo(50, 9);
    expect(steady?.['rmse_Nm']).toBeNull();
  });

  it('against a target: the sine about it has rmse 2 / sqrt 2 and the arcsine share in the band', () => {
    const torque_Nm = Float64Array.from({ length: 100_000 }, (_, i) => {
      return 50 + 2 * Math.sin((2 * Math.PI * i) / 1000);
    });
    // A band of 2 % is +-1 Nm: |sin| <= 1/2 for a third of the time.
    const steady = steadinessOf(torque_Nm, 1000, 50, 2);
    expect(steady?.['rmse_Nm']).toBeCloseTo(Math.SQRT2, 6);
    expect(Math.abs((steady?.['timeInBand_pct'] ?? 0) - 100 / 3)).toBeLessThan(0.3);
  });
});

describe('passive stiffness', () => {
  it('of the published exponential model: 0.0357, 0.1028 and 0.2976 Nm/deg at -10, 0 and 10 deg', () => {
    // B1 e^(k1 th) + B2 e^(k2 th), young male ankle, Anderson et al. 2007 table 3 (domain dossier 2.5):
    // resistance to dorsiflexion, so the torque on the lever is its negative.
    const angle_deg = sampled(36 / 5, 100, (t) => -20 + 5 * t);
    const torque_Nm = angle_deg.map((deg) => {
      const th = (deg * Math.PI) / 180;
      return -(-0.0005781 * Math.exp(-5.819 * th) + 0.967 * Math.exp(6.09 * th));
    });
    const recipe = changedRecipe(presetRecipe({ mode: 'passive' }), 'exact', {
      measures: { stiffnessOrder: 6 },
    });
    const window = phaseWindow({ rate_Hz: 100, angle_deg, torque_Nm, action: 'passive', recipe });
    const { stiffness_Nmpdeg } = measureAll(window);
    expect(stiffness_Nmpdeg?.['-10']).toBeCloseTo(0.0357, 3);
    expect(stiffness_Nmpdeg?.['0']).toBeCloseTo(0.1028, 3);
    expect(stiffness_Nmpdeg?.['10']).toBeCloseTo(0.2976, 3);
  });
});

describe('integral', () => {
  it('goes straight across a missing sample: the trapezoid of what is there', () => {
    const y = Float64Array.of(0, 1, Number.NaN, 3, 4);
    const x = Float64Array.of(0, 1, 2, 3, 4);
    expect(integral(y, x, { first: 0, end: 5 })).toBe(8);
  });
});
