/**
 * Every flag kind: a signal that must raise it, one just short that must not; and what holds for all of
 * them. The rate over real data is measured in flags-on-real-data.
 */
import { describe, expect, it } from 'vitest';
import type { Phase, Weighing } from '../../shared/analysis-types.ts';
import type { AnalysisFindings } from '../../shared/flags/findings.ts';
import { FLAG_KINDS, type Flag, type FlagKind } from '../../shared/flags/flag.ts';
import { LIVE_FLAGS, OFFLINE_FLAGS } from '../../shared/flags/index.ts';
import { flagsMarkdown } from '../../shared/flags/markdown.ts';
import { analysisFlags } from '../../shared/flags/offline.ts';
import { duplicateFlag, timeReversedFlag } from '../../shared/flags/reading.ts';
import { patternById } from '../../shared/joints/index.ts';
import { findings, murmur, phaseFinding, setRow, signalOf, told } from '../support/flag-scenes.ts';

const KNEE = patternById('knee-extension-flexion');
const RANGE: { range_deg: readonly [number, number] } = { range_deg: [0, 90] };

/** A slow swing up to an angle and back. */
const swingTo = (top: number) => (i: number) =>
  45 + (top - 45) * Math.sin((Math.PI * i) / 4000) + murmur(i) / 100;

const burst = (height: number, from: number, n: number) => (i: number) =>
  murmur(i) + (i >= from && i < from + n ? height : 0);

const frozen = (n: number) => (i: number) => (i >= 500 && i < 500 + n ? 3.25 : murmur(i));

function setOf(peaks_Nm: readonly number[], variation_pct: number): Partial<AnalysisFindings> {
  const phases = peaks_Nm.map((peakTorque_Nm) => phaseFinding({ peakTorque_Nm }).phase);
  return { sets: [{ row: setRow(variation_pct, peaks_Nm.length), phases }] };
}

function weighing(amplitude_Nm: number, identifiable = true): Weighing {
  return {
    amplitude_Nm,
    horizontalAt_deg: 0,
    offset_Nm: 0,
    standardErrors: { amplitude_Nm: 0.1, horizontalAt_deg: 0.1, offset_Nm: 0.1 },
    rmsResidual_Nm: 0.1,
    range_deg: [0, 90],
    identifiable,
  };
}

function isometric(creep_Nm: number): Partial<AnalysisFindings> {
  const effort: Partial<Phase> = { action: 'isometric', onset_s: 1.5 };
  const signal = signalOf({
    n: 3000,
    torque: (i) => murmur(i) + (creep_Nm * Math.max(0, i - 1200)) / 200 + (i > 1500 ? 80 : 0),
  });
  return { signal, phases: [phaseFinding(effort, { targetSpeed_degps: null })] };
}

/** To and fro, torque as given at each sample. */
function reciprocal(torque: (i: number) => number): Partial<AnalysisFindings> {
  const phases = [0, 1, 2, 3].map((k) => {
    const direction = k % 2 === 0 ? 'extension' : 'flexion';
    return phaseFinding({ repetition: 1 + k, direction, start_s: k, end_s: k + 1 });
  });
  return { signal: signalOf({ n: 4000, torque }), phases };
}

function against(actions: readonly Phase['action'][]): Partial<AnalysisFindings> {
  const phases = actions.map((action, k) =>
    phaseFinding({
      action,
      direction: k % 2 === 0 ? 'extension' : 'flexion',
      start_s: k,
      end_s: k + 1,
    }),
  );
  return { phases };
}

interface Case {
  readonly raises: () => readonly Flag[];
  readonly justShort: () => readonly Flag[];
}

const offline = (changed: Partial<AnalysisFindings>, conditions = {}) =>
  analysisFlags(findings(changed, conditions));

const CASES: Readonly<Record<FlagKind, Case>> = {
  rangeBeyond: {
    raises: () => told({ n: 4000, angle: swingTo(90.1) }, RANGE),
    justShort: () => told({ n: 4000, angle: swingTo(89.9) }, RANGE),
  },
  rangeNear: {
    raises: () => told({ n: 4000, angle: swingTo(88.1) }, RANGE),
    justShort: () => told({ n: 4000, angle: swingTo(87.9) }, RANGE),
  },
  overload: {
    raises: () => told({ n: 2000, torque: burst(271, 500, 300) }, { torqueLimit_Nm: 300 }),
    justShort: () => told({ n: 2000, torque: burst(269, 500, 300) }, { torqueLimit_Nm: 300 }),
  },
  saturated: {
    raises: () =>
      told(
        { n: 2000, torque: (i) => (i >= 500 && i < 503 ? 500 : murmur(i)) },
        { converterEnds: new Map([['torque_Nm', [-500, 500]]]) },
      ),
    justShort: () =>
      told(
        { n: 2000, torque: (i) => (i >= 500 && i < 502 ? 500 : murmur(i)) },
        { converterEnds: new Map([['torque_Nm', [-500, 500]]]) },
      ),
  },
  stuck: {
    raises: () => told({ n: 2000, torque: frozen(1000) }),
    justShort: () => told({ n: 2000, torque: frozen(999) }),
  },
  spike: {
    raises: () => told({ n: 2000, torque: burst(2.2, 500, 1) }),
    justShort: () => told({ n: 2000, torque: burst(1.8, 500, 1) }),
  },
  gap: {
    raises: () => told({ n: 2000, hole: [500, 501] }),
    justShort: () => told({ n: 2000 }),
  },
  rateOff: {
    raises: () => told({ n: 2000 }, { measuredRate_Hz: () => 1005.1 }),
    justShort: () => told({ n: 2000 }, { measuredRate_Hz: () => 1004.9 }),
  },
  duplicate: { raises: () => [duplicateFlag(2, 1, 2)], justShort: () => told({ n: 100 }) },
  timeReversed: { raises: () => [timeReversedFlag(0.5, 3)], justShort: () => told({ n: 100 }) },
  stopImpact: {
    raises: () => offline(impact(190)),
    justShort: () => offline(impact(188)),
  },
  speedNotReached: {
    raises: () => offline({ phases: [phaseFinding({ peakVelocity_degps: 53.9 })] }),
    justShort: () => offline({ phases: [phaseFinding({ peakVelocity_degps: 54.1 })] }),
  },
  loadRangeShort: {
    raises: () => offline({ phases: [phaseFinding({ loadRange: null })] }),
    justShort: () => offline({ phases: [phaseFinding({ rangeOfMotion_deg: 266 })] }),
  },
  inconsistent: {
    raises: () => offline(setOf([180, 178, 150], 10.1)),
    justShort: () => offline(setOf([180, 163, 162], 9.9)),
  },
  baselineDrift: {
    raises: () => offline(isometric(1.1)),
    justShort: () => offline(isometric(0.9)),
  },
  weighingImplausible: {
    raises: () => offline({ weighing: weighing(-0.3), pattern: KNEE }, { bodyMass_kg: 75 }),
    justShort: () => offline({ weighing: weighing(-6), pattern: KNEE }, { bodyMass_kg: 75 }),
  },
  signMismatch: {
    raises: () => offline(against(['eccentric', 'eccentric'])),
    justShort: () => offline(against(['eccentric', 'concentric'])),
  },
  torqueUnsigned: {
    raises: () => offline(reciprocal((i) => 100 + 50 * Math.sin(i / 300) + murmur(i))),
    justShort: () =>
      offline(reciprocal((i) => (Math.floor(i / 1000) % 2 === 0 ? -150 : 9) + murmur(i))),
  },
};

function impact(torque_Nm: number): Partial<AnalysisFindings> {
  const stopImpact = { time_s: 2.45, torque_Nm: -torque_Nm, at: 'end' } as const;
  return { phases: [phaseFinding({}, { stopImpact, rawPeakTorque_Nm: 182 })] };
}

/** Words that judge a person, or promise what a recorder cannot. */
const BARRED = /\b(safe|sincere|normal|deficit|OK to test|abnormal|weak|malinger\w*)\b/i;

describe.each(FLAG_KINDS)('flag %s', (kind) => {
  const { raises, justShort } = CASES[kind];

  it('is raised where it must be', () => {
    const flags = raises().filter((flag) => flag.kind === kind);
    expect(flags).toHaveLength(1);
    const [flag] = flags;
    expect(flag.end_s).toBeGreaterThanOrEqual(flag.start_s);
    expect(flag.message).toMatch(/^[A-Z0-9].*[.?]$/s);
    expect(flag.message.length).toBeLessThan(200);
    expect(flag.message).not.toMatch(BARRED);
    expect(flag.value === null || Number.isFinite(flag.value)).toBe(true);
  });

  it('is not raised just short of it', () => {
    expect(justShort().filter((flag) => flag.kind === kind)).toEqual([]);
  });
});

describe('the list of flags', () => {
  it('has an entry for every kind, and a row for each in the table', () => {
    const read: FlagKind[] = ['duplicate', 'timeReversed'];
    const listed = new Set([...LIVE_FLAGS, ...OFFLINE_FLAGS].map((flag) => flag.kind));
    expect([...FLAG_KINDS].filter((kind) => !listed.has(kind))).toEqual(read);
    const table = flagsMarkdown();
    for (const kind of FLAG_KINDS) {
      expect(table).toMatch(
        new RegExp(`\\| \`${kind}\` \\| (high|medium|low) \\| [a-z ]+ \\| \\S`),
      );
    }
  });

  it('nothing is flagged in a quiet stream', () => {
    const context = { ...RANGE, torqueLimit_Nm: 300, referenceTorque_Nm: 100 };
    expect(told({ n: 10_000, angle: (i) => 45 + murmur(i) }, context)).toEqual([]);
    expect(offline({})).toEqual([]);
  });

  it('no flag is louder than its entry says', () => {
    const loudness = ['low', 'medium', 'high'];
    for (const kind of FLAG_KINDS) {
      const entry = [...LIVE_FLAGS, ...OFFLINE_FLAGS].find((flag) => flag.kind === kind);
      if (entry === undefined) continue;
      for (const flag of CASES[kind].raises().filter((one) => one.kind === kind)) {
        expect(loudness.indexOf(flag.priority)).toBeLessThanOrEqual(
          loudness.indexOf(entry.priority),
        );
      }
    }
  });
});
