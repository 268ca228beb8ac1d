/** Flags of a finished analysis: when they stay silent, what they say, and on which clock. */
import { describe, expect, it } from 'vitest';
import type { Conditions, Weighing } from '../../../shared/analysis-types.ts';
import type { AnalysisFindings } from '../../../shared/flags/findings.ts';
import { analysisFlags } from '../../../shared/flags/offline.ts';
import { duplicateFlag } from '../../../shared/flags/reading.ts';
import { patternById } from '../../../shared/joints/index.ts';
import { findings, murmur, phaseFinding, setRow, signalOf } from '../../support/flag-scenes.ts';

const KNEE = patternById('knee-extension-flexion');

function flagsOf(changed: Partial<AnalysisFindings>, conditions: Conditions = {}) {
  return analysisFlags(findings(changed, conditions));
}

function weighed(amplitude_Nm: number, horizontalAt_deg = 0, identifiable = true): Weighing {
  return {
    amplitude_Nm,
    horizontalAt_deg,
    offset_Nm: 0,
    standardErrors: { amplitude_Nm: null, horizontalAt_deg: null, offset_Nm: null },
    rmsResidual_Nm: 0.1,
    range_deg: [0, 90],
    identifiable,
  };
}

describe('weighing', () => {
  const of = (weighing: Weighing, conditions: Conditions = { bodyMass_kg: 75 }) =>
    flagsOf({ weighing, pattern: KNEE }, conditions).map(({ kind, message }) => ({
      kind,
      message,
    }));

  it('near zero asks whether the machine already removes the weight, known body or not', () => {
    const [flag] = of(weighed(-0.3));
    expect(flag.message).toBe(
      'The limb weighs in at 0.3 N·m; expected for 75 kg: 4.8 to 30.6. Does the machine already ' +
        'remove the weight?',
    );
    expect(of(weighed(-0.3), {})).toHaveLength(1);
    expect(of(weighed(-0.3, 0, false))).toHaveLength(1);
  });

  it('too heavy or too light is told only of a weight that is known, for a known body', () => {
    expect(of(weighed(-40))[0].message).toContain('Was the limb pressed down');
    expect(of(weighed(-3))[0].message).toContain('Was the limb held up');
    expect(of(weighed(-40), {})).toEqual([]);
    expect(of(weighed(-40, 0, false))).toEqual([]);
  });

  it('a stated weight is judged like a fitted one', () => {
    const gravity = {
      kind: 'sinusoid',
      amplitude_Nm: -40,
      horizontalAt_deg: 0,
      offset_Nm: 0,
    } as const;
    expect(flagsOf({ pattern: KNEE }, { gravity, bodyMass_kg: 75 })).toMatchObject([
      { kind: 'weighingImplausible', value: 40 },
    ]);
    expect(flagsOf({}, { gravity, bodyMass_kg: 75 })).toEqual([]);
  });

  it('pulling the wrong way is a sign, not a weight', () => {
    expect(of(weighed(14))).toMatchObject([{ kind: 'signMismatch' }]);
    expect(of(weighed(14))[0].message).toContain('The weight pulls 14.0 N·m toward extension');
    expect(of(weighed(-14))).toEqual([]);
    // The same weight written with its other half turn.
    expect(of(weighed(14, 180))).toEqual([]);
  });
});

describe('sign of torque', () => {
  const both = [0, 1].map((k) =>
    phaseFinding({ direction: k === 0 ? 'extension' : 'flexion', start_s: k, end_s: k + 1 }),
  );
  const signal = signalOf({ n: 3000, torque: (i) => 60 + murmur(i) });

  it('is not doubted where it was stated, in one direction, or in a passive sweep', () => {
    expect(flagsOf({ signal, phases: both })).toMatchObject([{ kind: 'torqueUnsigned' }]);
    expect(flagsOf({ signal, phases: both }, { torque: 'unsigned' })).toEqual([]);
    expect(flagsOf({ signal, phases: both }, { torque: 'signed' })).toEqual([]);
    expect(flagsOf({ signal, phases: both.slice(0, 1) })).toEqual([]);
    const passive = both.map(({ phase }) => phaseFinding({ ...phase, action: 'passive' }));
    expect(flagsOf({ signal, phases: passive })).toEqual([]);
  });
});

describe('consistency', () => {
  const setOf = (peaks: readonly number[], variation: number | null) => {
    const phases = peaks.map((peakTorque_Nm) => phaseFinding({ peakTorque_Nm }).phase);
    return flagsOf({ sets: [{ row: setRow(variation, peaks.length), phases }] });
  };

  it('is louder above 15 %', () => {
    expect(setOf([180, 170, 140], 12)).toMatchObject([{ priority: 'low', value: 12, limit: 10 }]);
    expect(setOf([180, 170, 100], 16)).toMatchObject([{ priority: 'medium', limit: 15 }]);
  });

  it('looks at the two best when the scatter is small', () => {
    expect(setOf([180, 160, 158], 7)[0].message).toBe(
      'Consistency, extension: the best peak torque is 11.1 % above the next, usual is 10 % or less.',
    );
  });

  it('does not judge two repetitions, nor a set that is meant to tire', () => {
    expect(setOf([180, 120], 28)).toEqual([]);
    expect(
      setOf(
        Array.from({ length: 20 }, (_, i) => 180 - 5 * i),
        25,
      ),
    ).toEqual([]);
  });
});

describe('a cut-off table', () => {
  const wave = (i: number) => 60 * Math.sin(i / 60) + murmur(i);

  it('is seen by its wall', () => {
    const clipped = signalOf({ n: 2000, torque: (i) => Math.min(50, wave(i)) });
    const flags = flagsOf({ signal: clipped });
    expect(flags.length).toBeGreaterThan(2);
    expect(flags.every((flag) => flag.kind === 'saturated' && flag.value === 50)).toBe(true);
  });

  it('coarse steps and held maxima are no wall', () => {
    const coarse = signalOf({ n: 2000, torque: (i) => Math.round(wave(i) * 2) / 2 });
    expect(flagsOf({ signal: coarse })).toEqual([]);
    const constant = signalOf({ n: 600, torque: () => 5, angle: () => 3 });
    expect(flagsOf({ signal: constant })).toEqual([]);
  });
});

describe('the list', () => {
  it('is in the signal’s own time, in order, and says nothing twice', () => {
    const signal = signalOf({ n: 3000, torque: (i) => murmur(i) + (i === 2000 ? 5 : 0) });
    const later = { ...signal, time_s: signal.time_s.map((t) => t + 100) };
    const flags = [duplicateFlag(1, 100.5, 100.5)];
    const phases = [phaseFinding({ peakVelocity_degps: 30, start_s: 101, end_s: 101.5 })];
    const found = flagsOf({ signal: { ...later, flags }, phases });
    expect(found.map(({ kind }) => kind)).toEqual(['duplicate', 'speedNotReached', 'spike']);
    expect(found[2].start_s).toBeCloseTo(102, 9);
  });

  it('a hole in time is one gap, whether the reader told it or not', () => {
    const whole = signalOf({ n: 2000 });
    const keep = (column: Float64Array) => column.filter((_, i) => i < 500 || i >= 700);
    const holed = {
      ...whole,
      time_s: keep(whole.time_s),
      torque_Nm: keep(whole.torque_Nm),
      angle_deg: keep(whole.angle_deg ?? new Float64Array()),
    };
    const [gap, ...others] = flagsOf({ signal: holed });
    expect(others).toEqual([]);
    expect(gap).toMatchObject({ kind: 'gap', value: 200, start_s: 0.5, end_s: 0.7 });
    expect(flagsOf({ signal: { ...holed, flags: [gap] } })).toEqual([gap]);
  });

  it('an empty signal has nothing to say', () => {
    expect(flagsOf({ signal: signalOf({ n: 0 }) })).toEqual([]);
    expect(flagsOf({ signal: signalOf({ n: 1 }) })).toEqual([]);
  });
});
