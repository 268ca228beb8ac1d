/** Fatigue indices, each by its own name: they do not agree with each other and are never pooled. */
import { fitLine } from '../../statistics/line.ts';
import { mean, numbersOf, type SetMeasure } from './set-measure.ts';

/** Below this many repetitions thirds and ends overlap. */
const LEAST_REPETITIONS = 6;
const ENDS = 3;
const SOURCE = 'fatigue is quantified in many ways (2017 review); named, not pooled';
const CHECK = 'set-examples (twelve repetitions 120 ... 86)';

export const workDecline = {
  id: 'workDecline_pct',
  name: 'Work decline',
  unit: '%',
  formula: '100 (1 - work of the last third / work of the first third); null under 6 repetitions',
  source: SOURCE,
  check: CHECK,
  of(phases) {
    const works = enough(numbersOf(phases, 'work_J'));
    if (works === null) return null;
    const third = Math.floor(works.length / 3);
    return 100 * (1 - mean(works.slice(-third)) / mean(works.slice(0, third)));
  },
} as const satisfies SetMeasure<string>;

export const fatigueFirstLast = {
  id: 'fatigueFirstLast_pct',
  name: 'Fatigue, first three to last three',
  unit: '%',
  formula: '100 (1 - mean of the last 3 peaks / mean of the first 3)',
  source: SOURCE,
  check: CHECK,
  of: (phases) =>
    ofPeaks(phases, (peaks) => 1 - mean(peaks.slice(-ENDS)) / mean(peaks.slice(0, ENDS))),
} as const satisfies SetMeasure<string>;

export const fatigueBestLast = {
  id: 'fatigueBestLast_pct',
  name: 'Fatigue, best to last three',
  unit: '%',
  formula: '100 (1 - mean of the last 3 peaks / best peak)',
  source: SOURCE,
  check: CHECK,
  of: (phases) => ofPeaks(phases, (peaks) => 1 - mean(peaks.slice(-ENDS)) / Math.max(...peaks)),
} as const satisfies SetMeasure<string>;

export const percentDecrement = {
  id: 'percentDecrement_pct',
  name: 'Percent decrement',
  unit: '%',
  formula: '100 (1 - sum of peaks / (n best peak))',
  source: SOURCE,
  check: CHECK,
  of: (phases) => ofPeaks(phases, (peaks) => 1 - mean(peaks) / Math.max(...peaks)),
} as const satisfies SetMeasure<string>;

export const fatigueSlope = {
  id: 'fatigueSlope_Nm',
  name: 'Slope of peaks',
  unit: 'Nm per repetition',
  formula: 'least-squares slope of peak torque over repetition number',
  source: 'best compromise of the indices over 30 repetitions (18 men, 20-50 repetitions)',
  check: CHECK,
  of: (phases) => lineOf(phases)?.slope ?? null,
} as const satisfies SetMeasure<string>;

export const regressionDecline = {
  id: 'regressionDecline_pct',
  name: 'Decline along the line',
  unit: '%',
  formula: '100 (1 - line at the last repetition / line at the first)',
  source: SOURCE,
  check: CHECK,
  of(phases) {
    const line = lineOf(phases);
    if (line === null) return null;
    const at = (repetition: number) => line.intercept + line.slope * repetition;
    return 100 * (1 - at(phases.length) / at(1));
  },
} as const satisfies SetMeasure<string>;

function enough(values: readonly number[] | null): readonly number[] | null {
  return values !== null && values.length >= LEAST_REPETITIONS ? values : null;
}

function ofPeaks(
  phases: Parameters<SetMeasure<string>['of']>[0],
  share: (peaks: readonly number[]) => number,
): number | null {
  const peaks = enough(numbersOf(phases, 'peakTorque_Nm'));
  return peaks === null ? null : 100 * share(peaks);
}

function lineOf(phases: Parameters<SetMeasure<string>['of']>[0]) {
  const peaks = enough(numbersOf(phases, 'peakTorque_Nm'));
  if (peaks === null) return null;
  return fitLine(
    peaks.map((_, i) => i + 1),
    peaks,
  );
}
