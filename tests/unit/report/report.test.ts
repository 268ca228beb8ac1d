/** What stands on the page of a report, from invented numbers that can be checked by hand. */
import { describe, expect, test } from 'vitest';
import { LEAST_PAIRS, ownErrors, type TestedSet } from '../../../shared/report/own-error.ts';
import type { RecordingFacts, ReportFacts } from '../../../shared/report/facts.ts';
import type { PartEffort, ReportPart } from '../../../shared/report/part.ts';
import { buildReport, roundAbove } from '../../../shared/report/report.ts';

const KNEE = 'knee-extension-flexion';
const NAME = { effort: 'extension', direction: 'extension', action: 'concentric' } as const;

function effort(best_Nm: number | null, peaks_Nm: number[], speed_degps = 60): PartEffort {
  return {
    ...{ ...NAME, speed_degps, best_Nm, peaks_Nm, nFound: 5, variation_pct: 4 },
    overRecipes_Nm: best_Nm === null ? null : [best_Nm - 2, best_Nm + 3],
    curve: null,
  };
}
function part(recording: string, efforts: PartEffort[]): ReportPart {
  return {
    ...{ recording, rate_Hz: 1000, recipeName: 'x', recipeHash: 'h', torqueLowpass_Hz: 15 },
    ...{ loadRangeTolerance_pct: 10, gravity: 'none', alternatives: ['a'], efforts },
    ...{ excluded: [], flags: [] },
  };
}
function facts(id: string, side: string, before: number | null): RecordingFacts {
  const efforts = [{ ...NAME, speed_degps: 60, bestPeakTorque_Nm: before }];
  return {
    ...{ id, side, name: '', startedAt: '2026-11-25T14:00:00Z', station: 'North', software: '' },
    ...{ subject: 'SH-03', pattern: KNEE, mode: 'isokinetic', isSimulated: false, nPositions: 0 },
    before: before === null ? null : { startedAt: '2025-11-26T09:00:00Z', efforts },
    cautions: [],
  };
}
const ERROR = { ...NAME, pattern: KNEE, speed_degps: 60, mdc95_Nm: 12, nPairs: 8 };
const BOTH: ReportFacts = {
  id: 'r,l',
  recordings: [facts('r', 'right', 150), facts('l', 'left', null)],
  subject: null,
  errors: [ERROR],
};
const PARTS = [
  part('r', [effort(160, [150, 160, 155])]),
  part('l', [effort(144, [144, 140]), effort(120, [120], 180)]),
];

describe('the four questions', () => {
  const report = buildReport(BOTH, PARTS);

  test('how strong: the best of each side between its own repetitions, and last time', () => {
    expect(report.strong[0]?.dots).toEqual([
      { side: 'right', when: 'now', value: 160, interval: [150, 160] },
      { side: 'right', when: 'before', value: 150, interval: null },
      { side: 'left', when: 'now', value: 144, interval: [140, 144] },
    ]);
    expect(report.strong.map((row) => row.effort.speed_degps)).toEqual([60, 180]);
  });

  test('how alike: left as percent of right, only where both were tested', () => {
    expect(report.alike).toHaveLength(1);
    expect(report.alike[0]?.value_pct).toBeCloseTo(90, 12);
    const [low = 0, high = 0] = report.alike[0]?.interval_pct ?? [];
    expect(low).toBeCloseTo(87.5, 12);
    expect(high).toBeCloseTo(96, 12);
  });

  test('how changed: the difference with the measurement error of the site around it', () => {
    expect(report.changed).toHaveLength(1);
    expect(report.changed[0]?.dots).toEqual([
      { side: 'right', when: 'now', value: 10, interval: [-2, 22] },
    ]);
    const without = buildReport({ ...BOTH, errors: [] }, PARTS);
    expect(without.changed[0]?.dots[0]?.interval).toBeNull();
  });

  test('how sure: the same number over the stated recipes', () => {
    expect(report.sure[0]?.dots[0]?.interval).toEqual([158, 163]);
    expect(report.sure[0]?.variation_pct).toEqual({ right: 4, left: 4 });
  });

  test('an effort of which nothing counts is not on the page', () => {
    expect(buildReport(BOTH, [part('r', [effort(null, [])])]).strong).toEqual([]);
  });

  test.each([
    [96, 100],
    [97, 120],
    [1, 1.5],
    [0.5, 0.6],
    [950, 1000],
  ])('axis of %d ends at %d', (value, end) => {
    expect(roundAbove(value)).toBeCloseTo(end, 12);
  });
});

describe('measurement error from the retests of a site', () => {
  const tested = (subject: string, day: string, peak: number): TestedSet => ({
    ...{ subject, pattern: KNEE, side: 'right', mode: 'isokinetic' },
    startedAt: `2026-11-${day}T09:00:00Z`,
    efforts: [{ ...NAME, speed_degps: 60, bestPeakTorque_Nm: peak }],
  });
  const differences = [4, -2, 6, 0, 2];
  const pairs = differences.flatMap((difference, k) => [
    tested(`SH-0${k}`, '03', 100 + 10 * k),
    tested(`SH-0${k}`, '10', 100 + 10 * k + difference),
  ]);

  test('is 1.96 times the SD of the differences (Bland & Altman 1999, repeatability of a pair)', () => {
    const [error] = ownErrors(pairs);
    // SD of 4, -2, 6, 0, 2 is sqrt(10).
    expect(error?.mdc95_Nm).toBeCloseTo(1.96 * Math.sqrt(10), 9);
    expect(error?.nPairs).toBe(5);
  });

  test('needs enough pairs, of one person, on two days that are near', () => {
    expect(ownErrors(pairs.slice(0, 2 * (LEAST_PAIRS - 1)))).toEqual([]);
    const far = pairs.map((one, k) =>
      k % 2 === 0 ? one : { ...one, startedAt: '2026-12-24T09:00:00Z' },
    );
    expect(ownErrors(far)).toEqual([]);
    const sameDay = pairs.map((one) => ({ ...one, startedAt: '2026-11-03T09:00:00Z' }));
    expect(ownErrors(sameDay)).toEqual([]);
    expect(ownErrors(pairs.map((one) => ({ ...one, subject: '' })))).toEqual([]);
  });
});
