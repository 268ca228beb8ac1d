/**
 * Outside check: nine real isometric efforts (open data of mjhmilla/PlantarFlexorDynamometrySimulation),
 * numbers computed with scipy 1.10.1 as PROVENANCE.md states, and our default recipe beside them.
 */
import { describe, expect, it } from 'vitest';
import { analyze } from '../../shared/analysis.ts';
import type { Signal } from '../../shared/analysis-types.ts';
import { bestMean } from '../../shared/measures/best-mean-torque.ts';
import { impulse } from '../../shared/measures/impulse.ts';
import {
  peakRateOfTorqueDevelopment,
  rateOfTorqueDevelopment,
} from '../../shared/measures/torque-development.ts';
import { largestAt } from '../../shared/measures/window.ts';
import { presetRecipe } from '../../shared/recipe/presets.ts';
import { changedRecipe } from '../../shared/recipe/recipe.ts';
import { onsetOf } from '../../shared/segmentation/onset.ts';
import { momentsOf } from '../../shared/statistics/moments.ts';
import { hasReferenceData, referenceColumns } from '../support/reference-data.ts';
import { phaseWindow } from '../support/phase-window.ts';
import { halfUnit, lowPassed, referenceJson } from '../support/stated-method.ts';

const FOLDER = 'plantarflexion-mvc';
const RATE_HZ = 1000;
/** PROVENANCE.md names the creep of 110; 115 and 120 can be seen to creep by 5 Nm in the second before. */
const CREEPING = ['MVC_110_01', 'MVC_115_01', 'MVC_120_01'];

interface Trial {
  readonly raw_max_Nm: number;
  readonly 'baseline_mean_first_0.5s_Nm': number;
  readonly 'baseline_sd_first_0.5s_Nm': number;
  readonly lp6_peak_Nm: number;
  readonly lp6_peak_index: number;
  readonly lp6_net_peak_Nm: number;
  readonly best_1s_mean_lp6_Nm: number;
  readonly best_1s_start_index: number;
  readonly best_1s_cv_percent_lp6: number;
  readonly onset_index_7p5Nm_lp20: number;
  readonly rtd_from_onset_Nm_per_s: Readonly<Record<string, number>>;
  readonly rtd_max_20ms_Nm_per_s: number;
  readonly onset2_index_10pct_of_max_slope_lp20: number;
  readonly rtd_from_onset2_Nm_per_s: Readonly<Record<string, number>>;
  readonly impulse_0_200ms_from_onset_Nms: number;
}

const trials = hasReferenceData()
  ? Object.entries(
      (referenceJson(FOLDER, 'reference.json') as { trials: Record<string, Trial> }).trials,
    )
  : [];

describe.runIf(hasReferenceData())('plantarflexion-mvc', () => {
  it('has nine trials', () => {
    expect(trials).toHaveLength(9);
  });

  describe.each(trials)('%s by the stated method', (name, reference) => {
    const { torque_Nm = new Float64Array() } = referenceColumns(FOLDER, `${name}.csv.gz`);
    const lp6 = lowPassed(torque_Nm, 6, RATE_HZ);
    const lp20 = lowPassed(torque_Nm, 20, RATE_HZ);
    const base = momentsOf(torque_Nm.subarray(0, 500));
    const baseline = { first: 0, end: 500, mean_Nm: base.mean, sd_Nm: base.sd };
    const whole = { first: 0, end: torque_Nm.length };
    const recipe = changedRecipe(presetRecipe({ mode: 'isometric' }), 'as stated', {
      onset: { windows_ms: [50, 100, 150, 200, 250] },
    });
    const search = {
      torque_Nm: lp20,
      rate_Hz: RATE_HZ,
      baseline,
      from: 500,
      peak: largestAt(lp20, whole),
    };
    const window = (onset: number) =>
      phaseWindow({ rate_Hz: RATE_HZ, torque_Nm: lp20, fine_Nm: lp20, onset, recipe });

    it('baseline and peak', () => {
      expect(base.mean).toBeCloseTo(reference['baseline_mean_first_0.5s_Nm'], 3);
      expect(Math.abs(base.sd - reference['baseline_sd_first_0.5s_Nm'])).toBeLessThan(halfUnit(4));
      const at = largestAt(lp6, whole);
      expect(at).toBe(reference.lp6_peak_index);
      expect(Math.abs(lp6[at] - reference.lp6_peak_Nm)).toBeLessThan(halfUnit(4));
      expect(Math.abs(lp6[at] - base.mean - reference.lp6_net_peak_Nm)).toBeLessThan(halfUnit(4));
    });

    it('best second', () => {
      const best = bestMean(lp6, whole, 1000);
      expect(best?.first).toBe(reference.best_1s_start_index);
      expect(Math.abs((best?.mean ?? 0) - reference.best_1s_mean_lp6_Nm)).toBeLessThan(halfUnit(4));
      const { mean, sd } = momentsOf(lp6.subarray(best?.first, (best?.first ?? 0) + 1000));
      expect(Math.abs((100 * sd) / mean - reference.best_1s_cv_percent_lp6)).toBeLessThan(
        halfUnit(4),
      );
    });

    it('onset by the absolute rule, and its rates', () => {
      const onset = onsetOf(search, 'absolute', recipe);
      expect(onset).toBe(reference.onset_index_7p5Nm_lp20);
      const rates = rateOfTorqueDevelopment.of(window(onset));
      for (const [width, rate] of Object.entries(reference.rtd_from_onset_Nm_per_s)) {
        expect(Math.abs((rates?.[`0-${width}`] ?? 0) - rate)).toBeLessThan(halfUnit(2));
      }
      const net = lp20.map((torque) => torque - base.mean);
      const to200 = { ...window(onset), torque_Nm: net, first: onset, end: onset + 201 };
      const printed = reference.impulse_0_200ms_from_onset_Nms;
      expect(Math.abs((impulse.of(to200) ?? 0) - printed)).toBeLessThan(halfUnit(4));
    });

    it('onset by the slope rule, and its rates', () => {
      const onset = onsetOf(search, 'slope', recipe);
      expect(onset).toBe(reference.onset2_index_10pct_of_max_slope_lp20);
      const rates = rateOfTorqueDevelopment.of(window(onset));
      for (const [width, rate] of Object.entries(reference.rtd_from_onset2_Nm_per_s)) {
        expect(Math.abs((rates?.[`0-${width}`] ?? 0) - rate)).toBeLessThan(halfUnit(2));
      }
      const steepest = peakRateOfTorqueDevelopment.of(window(onset));
      expect(Math.abs((steepest ?? 0) - reference.rtd_max_20ms_Nm_per_s)).toBeLessThan(halfUnit(2));
    });
  });

  describe.each(trials)('%s by the whole analysis', (name, reference) => {
    const { time_s, torque_Nm } = referenceColumns(FOLDER, `${name}.csv.gz`);
    const signal: Signal = {
      rate_Hz: RATE_HZ,
      time_s: time_s ?? new Float64Array(),
      torque_Nm: torque_Nm ?? new Float64Array(),
      angle_deg: null,
      velocity_degps: null,
      flags: [],
    };
    const preset = presetRecipe({ mode: 'isometric' });
    const absolute = changedRecipe(preset, 'absolute', { onset: { rule: 'absolute' } });
    const documents = {
      slope: analyze(signal, {}, preset),
      absolute: analyze(signal, {}, absolute),
    };
    const byRule = (rule: 'absolute' | 'slope') => documents[rule];

    it('is one effort that counts', () => {
      const { inferred, phases } = byRule('slope');
      expect(inferred).toMatchObject({ mode: 'isometric' });
      expect(phases).toHaveLength(1);
      expect(phases[0]).toMatchObject({ direction: 'rising', action: 'isometric', counts: true });
    });

    it('has its onset within 30 ms of the reference by either rule', () => {
      // The baseline is the quietest half second before the effort, not the first of the file, and the
      // smoothing 50 Hz instead of 20: creeping trials move by up to 27 ms.
      const at = (rule: 'absolute' | 'slope') => 1000 * (byRule(rule).phases[0]?.onset_s ?? 0);
      expect(Math.abs(at('absolute') - reference.onset_index_7p5Nm_lp20)).toBeLessThan(30);
      expect(Math.abs(at('slope') - reference.onset2_index_10pct_of_max_slope_lp20)).toBeLessThan(
        30,
      );
    });

    it('has the peak and the best second within 2 % of the reference', () => {
      // 20 Hz instead of 6 leaves more of the tremor in the peak (up to 0.7 %), and the baseline of a
      // drifting rest moves by up to 3 Nm (1.1 %).
      const [phase] = byRule('slope').phases;
      const above = phase?.peakTorque_Nm ?? 0;
      expect(Math.abs(above / reference.lp6_net_peak_Nm - 1)).toBeLessThan(0.02);
      const best = phase?.['bestMeanTorque_Nm'] as Record<string, number>;
      const net = reference.best_1s_mean_lp6_Nm - reference['baseline_mean_first_0.5s_Nm'];
      expect(Math.abs((best['1000'] ?? 0) / net - 1)).toBeLessThan(0.02);
    });
    it('tells a creep of torque before the effort where there is one, and only there', () => {
      const isTold = byRule('slope').flags.some(({ kind }) => kind === 'baselineDrift');
      expect(isTold).toBe(CREEPING.includes(name));
    });
  });
});
