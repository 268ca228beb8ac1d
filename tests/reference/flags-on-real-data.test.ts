/**
 * How often each flag is raised over the real signals of the reference data: the rates that the README
 * states. The spikes of the ankle set are checked one by one against its list (scipy.signal.medfilt).
 */
import { describe, expect, it } from 'vitest';
import { analyze, recipeFor } from '../../shared/analysis.ts';
import type { Conditions, Signal } from '../../shared/analysis-types.ts';
import { FLAG_KINDS, type FlagKind } from '../../shared/flags/flag.ts';
import { watchLive } from '../../shared/flags/live.ts';
import { hasReferenceData, referenceColumns, referenceText } from '../support/reference-data.ts';
import { CONTEXT } from '../support/flag-scenes.ts';

interface Recording {
  readonly signal: Signal;
  readonly conditions: Conditions;
}

function signal(rate_Hz: number, torque_Nm: Float64Array, angle_deg?: Float64Array): Signal {
  return {
    rate_Hz,
    time_s: torque_Nm.map((_, i) => i / rate_Hz),
    torque_Nm,
    angle_deg: angle_deg ?? null,
    velocity_degps: null,
    flags: [],
  };
}

const ANKLE = {
  isokinetic: ['PL_0_01', 'PL_50_01', 'PL_100_01'],
  passive: [-15, -10, 5, 10, 20, 25, 'Sho2Long', 'Long2Sho'].map((name) => `Pas_${String(name)}`),
  isometric: ['Ref_Long_01'],
} as const;

function ankle(): Recording[] {
  return (['isokinetic', 'passive', 'isometric'] as const).flatMap((mode) =>
    ANKLE[mode].map((name) => {
      const columns = referenceColumns('ankle-stretch-hold', `${name}.csv.gz`);
      const angle_deg = columns['angle_deg'].map((angle) => -angle);
      return {
        signal: signal(2000, columns['torque_Nm'], angle_deg),
        conditions: { mode, pattern: 'ankle-plantarflexion-dorsiflexion', bodyMass_kg: 75 },
      };
    }),
  );
}

function others(): Recording[] {
  const mvc = [70, 80, 90, 95, 100, 105, 110, 115, 120].map((angle) => {
    const file = `MVC_${String(angle)}_01.csv.gz`;
    const { torque_Nm } = referenceColumns('plantarflexion-mvc', file);
    return { signal: signal(1000, torque_Nm), conditions: { mode: 'isometric' } as const };
  });
  const elbow = [10, 30, 40, 60, 70, 90].map((speed_degps) => {
    const file = `v${String(speed_degps)}.csv.gz`;
    const { torque_Nm, angle_deg } = referenceColumns('elbow-constant-velocity', file);
    const conditions = { mode: 'isokinetic', speed_degps } as const;
    return { signal: signal(500, torque_Nm, angle_deg), conditions };
  });
  const elderly = ['ID02', 'ID09'].flatMap((id) => {
    const columns = referenceColumns('elderly-isometric-force', `${id}.csv.gz`);
    const forces = Object.keys(columns).filter((name) => name.startsWith('force_'));
    return forces.map((name) => ({
      signal: signal(2000, columns[name]),
      conditions: { mode: 'isometric' } as const,
    }));
  });
  return [...mvc, ...elbow, ...elderly];
}

describe.runIf(hasReferenceData())('flags over real data', () => {
  it('rates', () => {
    const recordings = [...ankle(), ...others()];
    const counts = new Map<FlagKind, number>();
    let seconds = 0;
    for (const { signal: one, conditions } of recordings) {
      seconds += one.time_s.length / one.rate_Hz;
      for (const { kind } of analyze(one, conditions, recipeFor(one, conditions)).flags) {
        counts.set(kind, (counts.get(kind) ?? 0) + 1);
      }
    }
    expect(recordings).toHaveLength(35);
    expect(seconds).toBeGreaterThan(370);
    // A spike or a knot of spikes every quarter of a minute, in the raw recordings of two sets.
    expect(counts.get('spike')).toBeGreaterThan(20);
    expect(counts.get('spike')).toBeLessThan(30);
    // The motor stops at the end of a stretch; torque creeps before the effort.
    expect(counts.get('stopImpact')).toBeLessThanOrEqual(3);
    expect(counts.get('baselineDrift')).toBeGreaterThanOrEqual(4);
    expect(counts.get('baselineDrift')).toBeLessThanOrEqual(6);
    const raised: FlagKind[] = ['spike', 'stopImpact', 'baselineDrift'];
    const silent = FLAG_KINDS.filter((kind) => !raised.includes(kind));
    expect(silent.filter((kind) => counts.has(kind))).toEqual([]);
  });

  it('every single spike of the ankle set, and no other', () => {
    const trials = (
      JSON.parse(referenceText('ankle-stretch-hold', 'reference.json')) as {
        trials: Record<string, { torque_spikes_gt_2Nm_from_median9: [number, number, number][] }>;
      }
    ).trials;
    let nSpikes = 0;
    for (const [name, { torque_spikes_gt_2Nm_from_median9: listed }] of Object.entries(trials)) {
      const { torque_Nm } = referenceColumns('ankle-stretch-hold', `${name}.csv.gz`);
      // Without merging, every spike is a flag of its own.
      const thresholds = { ...CONTEXT.thresholds, gapMerge_s: 0 };
      const watcher = watchLive({ ...CONTEXT, rate_Hz: 2000, thresholds });
      const columns = new Map([['torque_Nm', torque_Nm]]);
      const block = { rate_Hz: 2000, index: 0, n: torque_Nm.length, afterGap: false, columns };
      const flags = [...watcher.push(block), ...watcher.end()].filter((f) => f.end_s > f.start_s);
      expect(flags.map((flag) => Math.round(2000 * flag.start_s))).toEqual(
        listed.map(([index]) => index),
      );
      listed.forEach(([, value, median], k) => {
        expect(flags[k].value).toBeCloseTo(Math.abs(value - median), 3);
      });
      nSpikes += listed.length;
    }
    expect(nSpikes).toBeGreaterThan(25);
  });
});
