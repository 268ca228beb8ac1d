import { describe, expect, test } from 'vitest';
import type { Action, Phase, Reason } from '../../../shared/analysis-types.ts';
import { patternById } from '../../../shared/joints/index.ts';
import { ledgerRows, peakSummary } from '../../../web/lib/ledger.ts';
import { markedSpans } from '../../../web/lib/sheet-spans.ts';

const pattern = patternById('ankle-plantarflexion-dorsiflexion');

function phase(
  repetition: number,
  direction: 'plantarflexion' | 'dorsiflexion',
  peakTorque_Nm: number,
  more: { reasons?: readonly Reason[]; action?: Action } = {},
): Phase {
  const start_s = repetition * 2 + (direction === 'dorsiflexion' ? 1 : 0);
  const reasons = more.reasons ?? [];
  return {
    repetition,
    direction,
    effort: direction,
    action: more.action ?? 'concentric',
    start_s,
    end_s: start_s + 0.8,
    counts: reasons.length === 0,
    reasons,
    rangeOfMotion_deg: 50,
    peakVelocity_degps: 60,
    peakTorque_Nm,
    peakTorqueTime_s: start_s + 0.2,
    angleAtPeakTorque_deg: 5,
    timeToPeakTorque_s: 0.2,
    work_J: 50,
    meanPower_W: 60,
    peakPower_W: 90,
    impulse_Nms: null,
    meanTorque_Nm: 50,
    loadRange: null,
    onset_s: null,
    rateOfTorqueDevelopment_Nmps: null,
  };
}

const SET = [
  phase(1, 'plantarflexion', 95),
  phase(1, 'dorsiflexion', 29),
  phase(2, 'plantarflexion', 96),
  phase(2, 'dorsiflexion', 28),
  phase(3, 'plantarflexion', 99, { reasons: ['shortRange'] }),
  phase(3, 'dorsiflexion', 26),
  phase(4, 'plantarflexion', 90),
];
const INPUT = { phases: SET, mode: 'isokinetic', nExpected: 5, stage: 'set' } as const;

describe('ledger rows', () => {
  test('one row a repetition, with its state in words, and those to come', () => {
    const rows = ledgerRows(INPUT, pattern);
    expect(rows.map(({ repetition, state }) => [repetition, state])).toEqual([
      [1, 'best'],
      [2, 'best'],
      [3, 'excluded'],
      [4, 'underway'],
      [5, 'tocome'],
    ]);
    expect(rows[0]?.best).toEqual(['rising']);
    expect(rows[1]?.best).toEqual(['falling']);
    expect(rows[2]?.reasons).toEqual(['shortRange']);
  });

  test('a half repetition is cut off while data are missing, and stands as it is when the set is done', () => {
    expect(ledgerRows({ ...INPUT, stage: 'cut' }, pattern)[3]?.state).toBe('cutoff');
    const done = ledgerRows({ ...INPUT, stage: 'done' }, pattern);
    expect(done.map(({ state }) => state)).toEqual(['best', 'best', 'excluded', 'counts']);
  });

  test('nothing is best of one', () => {
    const rows = ledgerRows({ ...INPUT, phases: SET.slice(0, 2) }, pattern);
    expect(rows[0]?.state).toBe('counts');
  });

  test('a limb that was only carried along is not compared with efforts', () => {
    const carried = phase(0, 'dorsiflexion', 7, { action: 'eccentric' });
    const summary = peakSummary([carried, ...SET], 'rising', pattern);
    expect(summary.n).toBe(3);
    expect(summary.mean_Nm).toBeCloseTo((29 + 28 + 26) / 3, 12);
  });

  test('variation is the sample standard deviation over the mean, null under three', () => {
    // 94, 96, 98: mean 96, SD with n - 1 = 2, so 2.0833 %; by hand.
    const peaks = [94, 96, 98].map((peak, k) => phase(k + 1, 'plantarflexion', peak));
    expect(peakSummary(peaks, 'falling', pattern).variation_pct).toBeCloseTo(2.083333, 5);
    expect(peakSummary(peaks.slice(0, 2), 'falling', pattern).variation_pct).toBeNull();
    expect(peakSummary([], 'falling', pattern)).toEqual({
      n: 0,
      mean_Nm: null,
      variation_pct: null,
    });
  });
});

describe('marks on the sheet', () => {
  test('finished repetitions are loops of the stream, the one under way begins at its start', () => {
    const spans = markedSpans(ledgerRows(INPUT, pattern), 0);
    const { loops, from } = spans.loops(10_000, 1000);
    expect(loops).toHaveLength(3);
    expect(loops[2]).toEqual({ first: 16_000, end: 17_800, isExcluded: true });
    expect(from).toBe(18_000);
    expect(spans.excluded).toEqual([{ from_s: 6, to_s: 7.8 }]);
  });
});
