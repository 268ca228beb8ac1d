/** Best, mean and spread of the repetitions of a set. */
import { momentsOf } from '../../statistics/moments.ts';
import { mean, numbersOf, type SetMeasure } from './set-measure.ts';

export const bestPeakTorque = {
  id: 'bestPeakTorque_Nm',
  name: 'Best peak torque',
  unit: 'Nm',
  formula: 'largest of the peaks',
  source: 'usual definition',
  check: 'set-examples',
  of(phases) {
    const peaks = numbersOf(phases, 'peakTorque_Nm');
    return peaks === null ? null : Math.max(...peaks);
  },
} as const satisfies SetMeasure<string>;

export const meanPeakTorque = {
  id: 'meanPeakTorque_Nm',
  name: 'Mean peak torque',
  unit: 'Nm',
  formula: 'mean of the peaks',
  source: 'usual definition',
  check: 'set-examples',
  of(phases) {
    const peaks = numbersOf(phases, 'peakTorque_Nm');
    return peaks === null ? null : mean(peaks);
  },
} as const satisfies SetMeasure<string>;

export const coefficientOfVariation = {
  id: 'coefficientOfVariation_pct',
  name: 'Coefficient of variation',
  unit: '%',
  formula: '100 SD / mean of the peaks, SD with n - 1; a measure of consistency only',
  source: 'usual definition',
  check: 'set-examples (182, 190, 186, 188, 179: 2.417371)',
  of(phases) {
    const peaks = numbersOf(phases, 'peakTorque_Nm');
    if (peaks === null || peaks.length < 2) return null;
    const { mean: average, sd } = momentsOf(peaks);
    return (100 * sd) / average;
  },
} as const satisfies SetMeasure<string>;

export const totalWork = {
  id: 'totalWork_J',
  name: 'Total work',
  unit: 'J',
  formula: 'sum of the work of the repetitions',
  source: 'usual definition',
  check: 'set-examples',
  of(phases) {
    const works = numbersOf(phases, 'work_J');
    return works === null ? null : works.reduce((sum, value) => sum + value, 0);
  },
} as const satisfies SetMeasure<string>;
