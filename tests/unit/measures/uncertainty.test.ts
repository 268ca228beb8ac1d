import { describe, expect, it } from 'vitest';
import { analyze } from '../../../shared/analysis.ts';
import { withCertainty } from '../../../shared/certainty.ts';
import { uncertaintiesOf } from '../../../shared/measures/uncertainty.ts';
import { work } from '../../../shared/measures/work.ts';
import { presetRecipe } from '../../../shared/recipe/presets.ts';
import { pieceOf } from '../../../shared/segmentation/torque.ts';
import { reciprocalSet, seeded } from '../../support/analysis-signal.ts';
import { phaseWindow, sampled } from '../../support/phase-window.ts';

const RECIPE = presetRecipe({ mode: 'isokinetic' });

/** 10 to 90 deg at 60 deg/s, 150 Nm at the middle: sensitivities are known in closed form. */
const angle_deg = sampled(80 / 60, 1000, (t) => 10 + 60 * t);
const window = phaseWindow({
  rate_Hz: 1000,
  angle_deg,
  torque_Nm: angle_deg.map((angle) => 150 * Math.sin((Math.PI * (angle - 10)) / 80)),
  velocity_degps: angle_deg.map(() => 60),
});
const SINUSOID = {
  kind: 'sinusoid',
  amplitude_Nm: 12,
  horizontalAt_deg: 0,
  offset_Nm: 0,
} as const;

describe('a contribution', () => {
  it('of the calibration: slope and zero, together by their squares', () => {
    const found = uncertaintiesOf(window, { torqueScale_pct: 0.5, torqueZero_Nm: 1 }, undefined);
    expect(found.peakTorque_Nm?.contributions.calibration).toBeCloseTo(Math.hypot(0.75, 1), 6);
    const range_rad = (80 * Math.PI) / 180;
    expect(found.work_J?.contributions.calibration).toBeCloseTo(
      Math.hypot(0.005 * (work.of(window) ?? 0), range_rad),
      3,
    );
  });

  it('of the tare: its drift, over the range of work and the time of impulse', () => {
    const found = uncertaintiesOf(window, { tareDrift_Nm: 0.3 }, undefined);
    expect(found.peakTorque_Nm?.contributions.tareDrift).toBeCloseTo(0.3, 9);
    expect(found.work_J?.contributions.tareDrift).toBeCloseTo((0.3 * 80 * Math.PI) / 180, 3);
    expect(found.impulse_Nms?.contributions.tareDrift).toBeCloseTo((0.3 * 1333) / 1000, 9);
    expect(found.meanTorque_Nm?.contributions.tareDrift).toBeCloseTo(0.3, 9);
  });

  it('of the weight: as much of it as lies in the angle', () => {
    const found = uncertaintiesOf(window, { weight_Nm: 0.5 }, SINUSOID);
    const at_deg = found.peakTorque_Nm ? 50 : Number.NaN;
    expect(found.peakTorque_Nm?.contributions.weightFit).toBeCloseTo(
      0.5 * Math.cos((at_deg * Math.PI) / 180),
      2,
    );
    // Integral of cos from 10 to 90 degrees.
    const through_J = 0.5 * (1 - Math.sin((10 * Math.PI) / 180));
    expect(found.work_J?.contributions.weightFit).toBeCloseTo(through_J, 3);
  });

  it('of the delay: 2 ms at 60 deg/s are 0.12 deg', () => {
    const found = uncertaintiesOf(window, { delay_ms: 2 }, undefined);
    expect(found.angleAtPeakTorque_deg?.contributions.delay).toBeCloseTo(0.12, 6);
    expect(found.peakTorque_Nm?.contributions.delay).toBeCloseTo(0, 3);
  });

  it('that nobody knows is null and adds nothing', () => {
    const found = uncertaintiesOf(window, {}, undefined);
    expect(found.work_J?.contributions).toMatchObject({
      calibration: null,
      tareDrift: null,
      weightFit: null,
      delay: null,
    });
    expect(found.work_J?.standard).toBe(found.work_J?.contributions.noise);
  });

  it('stands in the root of the sum of squares', () => {
    const known = { torqueScale_pct: 1, tareDrift_Nm: 0.3, delay_ms: 2, weight_Nm: 0.2 };
    for (const { standard, contributions } of Object.values(
      uncertaintiesOf(window, known, SINUSOID),
    )) {
      const squares = Object.values(contributions).reduce<number>(
        (sum, u) => sum + (u ?? 0) ** 2,
        0,
      );
      expect(standard).toBeCloseTo(Math.sqrt(squares), 12);
    }
  });
});

describe('noise', () => {
  it('of a smoothed sample and of work is what repeated trials scatter by', () => {
    // 300 trials of white noise on the same movement, SD 2 Nm: torque at one sample, and work.
    const trials = 300;
    const samples: number[] = [];
    const works: number[] = [];
    let told = { sample: 0, work: 0 };
    for (let k = 0; k < trials; k += 1) {
      const random = seeded(1000 + k);
      // Sum of twelve uniform numbers: Gaussian enough, SD 1.
      const gauss = () => Array.from({ length: 12 }, random).reduce((a, b) => a + b, -6);
      const unfiltered_Nm = window.torque_Nm.map((torque) => torque + 2 * gauss());
      const signal = {
        rate_Hz: 1000,
        time_s: window.time_s,
        angle_deg: null,
        velocity_degps: null,
        flags: [],
      };
      const whole = { first: 0, end: unfiltered_Nm.length };
      const piece = pieceOf(
        {
          signal: { ...signal, torque_Nm: unfiltered_Nm },
          motion: null,
          clock: { stretches: [whole], unevenness: 0 },
          conditions: {},
          recipe: { ...RECIPE, conditioning: { ...RECIPE.conditioning, spike_Nm: null } },
          signAt: null,
        },
        whole,
        15,
      );
      const noisy = {
        ...window,
        torque_Nm: piece.torque_Nm,
        peakable_Nm: piece.torque_Nm,
        unfiltered_Nm,
      };
      samples.push(piece.torque_Nm[666]);
      works.push(work.of(noisy) ?? 0);
      if (k > 0) continue;
      const { peakTorque_Nm, work_J } = uncertaintiesOf(noisy, {}, undefined);
      told = {
        sample: peakTorque_Nm?.contributions.noise ?? 0,
        work: work_J?.contributions.noise ?? 0,
      };
    }
    const sd = (values: readonly number[]) => {
      const mean = values.reduce((a, b) => a + b) / values.length;
      return Math.sqrt(values.reduce((a, b) => a + (b - mean) ** 2, 0) / (values.length - 1));
    };
    // 300 trials know an SD to 4 %, the median of 500 residuals to 5 %.
    expect(Math.abs(told.sample / sd(samples) - 1)).toBeLessThan(0.15);
    expect(Math.abs(told.work / sd(works) - 1)).toBeLessThan(0.15);
  });
});

describe('a document with certainty', () => {
  const signal = reciprocalSet({ repetitions: 2, noise: [2, 0.1] });
  const conditions = { mode: 'isokinetic', speed_degps: 60 } as const;
  const plain = analyze(signal, conditions, RECIPE);
  const sure = withCertainty(plain, signal, conditions, RECIPE, { torqueScale_pct: 0.5 });

  it('changes no number', () => {
    expect(sure.phases).toHaveLength(plain.phases.length);
    sure.phases.forEach((phase, k) => {
      expect(phase).toMatchObject(plain.phases[k] ?? {});
    });
  });

  it('names the alternatives, and spans every number over them', () => {
    expect(sure.alternatives).toContain('torque at 10 Hz');
    for (const phase of sure.phases) {
      const spans = phase['spans'] as Record<string, readonly [number, number]>;
      const [least, most] = spans['peakTorque_Nm'] ?? [0, 0];
      expect(least).toBeLessThanOrEqual(phase.peakTorque_Nm ?? 0);
      expect(most).toBeGreaterThanOrEqual(phase.peakTorque_Nm ?? 0);
      expect(most - least).toBeGreaterThan(0);
      expect(spans['loadRange.work_J']).toBeDefined();
    }
  });

  it('does the same for held efforts: onset and rates by the published rules', () => {
    const n = 8000;
    const held = {
      rate_Hz: 1000,
      time_s: Float64Array.from({ length: n }, (_, i) => i / 1000),
      torque_Nm: Float64Array.from({ length: n }, (_, i) => {
        const t = i / 1000 - 2;
        return t < 0 || t > 3 ? 0.1 * Math.sin(i) : 150 * (1 - Math.exp(-t / 0.1));
      }),
      angle_deg: null,
      velocity_degps: null,
      flags: [],
    };
    const isometric = { mode: 'isometric' } as const;
    const recipe = presetRecipe(isometric);
    const document = withCertainty(analyze(held, isometric, recipe), held, isometric, recipe);
    const spans = document.phases[0]?.['spans'] as Record<string, readonly [number, number]>;
    const [least, most] = spans['rateOfTorqueDevelopment_Nmps.0-100'] ?? [0, 0];
    // Closed form at the true onset: 150 (1 - 1/e) / 0.1 s = 948 Nm/s.
    expect(least).toBeLessThan(948);
    expect(most).toBeGreaterThan(900);
    expect(spans['onset_s']?.[0]).toBeLessThan(spans['onset_s']?.[1] ?? 0);
  });
});
