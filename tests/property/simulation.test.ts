/** Laws that every simulation keeps: cuts, seeds, mirror, energy, and the step of integration. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  createSimulation,
  TRUTH_COLUMNS,
  type SimulationOptions,
} from '../../shared/simulation/index.ts';
import { PERFECT, TYPICAL } from '../../shared/simulation/outputs.ts';
import { RIGS, type RigPattern } from '../../shared/simulation/rigs.ts';
import type { ScriptItem } from '../../shared/simulation/script.ts';
import { SUBJECTS } from '../../shared/simulation/subjects.ts';
import { demoSignal, spans } from '../support/demo-signal.ts';

const SET = { kind: 'isokinetic', falling: 'concentric', rising: 'concentric' } as const;

const item: fc.Arbitrary<ScriptItem> = fc.oneof(
  fc.record({ kind: fc.constant('rest' as const), duration_s: fc.double({ min: 0.1, max: 1 }) }),
  fc.record({
    kind: fc.constant('isokinetic' as const),
    speed_degps: fc.integer({ min: 30, max: 300 }),
    repetitions: fc.constant(1),
    falling: fc.constantFrom('concentric' as const, 'eccentric' as const),
    rising: fc.constantFrom('concentric' as const, 'eccentric' as const),
  }),
  fc.record({
    kind: fc.constant('isometric' as const),
    way: fc.constantFrom('rising' as const, 'falling' as const),
    duration_s: fc.double({ min: 0.2, max: 1 }),
    effort: fc.double({ min: 0.1, max: 1 }),
  }),
);

const options: fc.Arbitrary<SimulationOptions> = fc.record({
  seed: fc.integer(),
  pattern: fc.constantFrom<RigPattern>(...RIGS.map((rig) => rig.pattern)),
  side: fc.constantFrom('left' as const, 'right' as const),
  subject: fc.constantFrom(...SUBJECTS),
  script: fc.array(item, { minLength: 1, maxLength: 2 }),
  rate_Hz: fc.constantFrom(50, 100, 500, 1000, 2222),
});

describe('simulation', () => {
  test('gives the same bits however it is cut', () => {
    const cuts = fc.array(fc.integer({ min: 1, max: 300 }), { minLength: 1, maxLength: 8 });
    fc.assert(
      fc.property(options, cuts, (given, lengths) => {
        const total = lengths.reduce((sum, n) => sum + n, 0);
        const whole = createSimulation(given).next(total);
        const cut = createSimulation(given);
        let at = 0;
        for (const n of lengths) {
          const part = cut.next(n);
          const isSame = (a: Float64Array | undefined, b: Float64Array) =>
            a?.length === n && a.every((value, i) => Object.is(value, b[at + i]));
          expect(whole.columns.every((column, c) => isSame(part.columns[c], column))).toBe(true);
          expect(TRUTH_COLUMNS.filter((k) => !isSame(part.truth[k], whole.truth[k]))).toEqual([]);
          at += n;
        }
      }),
      { numRuns: 25 },
    );
  });

  test('every number is finite, in the converter and in the truth', () => {
    fc.assert(
      fc.property(options, (given) => {
        const { columns, truth } = createSimulation(given).next(3 * (given.rate_Hz ?? 1000));
        const isCount = (value: number) => Number.isInteger(value) && Math.abs(value) <= 32768;
        expect(columns.every((column) => column.every(isCount))).toBe(true);
        for (const name of TRUTH_COLUMNS) expect(truth[name].every(Number.isFinite)).toBe(true);
      }),
      { numRuns: 25 },
    );
  });

  test('another seed gives other noise', () => {
    const one = createSimulation({ seed: 1, script: [] }).next(200);
    const other = createSimulation({ seed: 2, script: [] }).next(200);
    expect(one.columns[0]).not.toEqual(other.columns[0]);
  });

  test('left is the mirror of right: the same subject reads the same within a step', () => {
    const script = [{ ...SET, speed_degps: 120, repetitions: 1 }];
    const given = { seed: 5, script, subject: SUBJECTS[1], imperfections: TYPICAL };
    const right = demoSignal({ ...given, side: 'right' });
    const left = demoSignal({ ...given, side: 'left' });
    expect(left.truth).toEqual(right.truth);
    const apart = (a: Float64Array, b: Float64Array) =>
      Math.max(...a.map((value, i) => Math.abs(value - (b[i] ?? NaN))));
    expect(apart(left.torque_Nm, right.torque_Nm)).toBeLessThan(250 / 32768 + 1e-9);
    expect(apart(left.angle_deg, right.angle_deg)).toBeLessThan(180 / 32768 + 1e-9);
  });

  test('the work of muscle, weight and tissue is what the sensor takes and the limb moves with', () => {
    for (const [pattern, inertia_kgm2] of [
      ['knee-extension-flexion', 0.4581 + 0.14],
      ['ankle-plantarflexion-dorsiflexion', 0.0213 + 0.15],
    ] as const) {
      const script = [{ ...SET, speed_degps: 120, repetitions: 1 }];
      const subject = SUBJECTS[1];
      const signal = demoSignal({
        pattern,
        script,
        subject,
        imperfections: PERFECT,
        rate_Hz: 4000,
      });
      const { muscle_Nm, weight_Nm, passive_Nm, sensor_Nm, angle_deg, velocity_degps } =
        signal.truth;
      for (const { first, end } of spans(signal)) {
        let limb_J = 0;
        let sensor_J = 0;
        for (let i = first; i < end; i++) {
          const step_rad = (((angle_deg[i] ?? NaN) - (angle_deg[i - 1] ?? NaN)) * Math.PI) / 180;
          limb_J +=
            ((muscle_Nm[i] ?? NaN) + (weight_Nm[i] ?? NaN) + (passive_Nm[i] ?? NaN)) * step_rad;
          sensor_J += (sensor_Nm[i] ?? NaN) * step_rad;
        }
        const energy_J = (i: number) =>
          (inertia_kgm2 / 2) * (((velocity_degps[i] ?? NaN) * Math.PI) / 180) ** 2;
        const moved_J = energy_J(end - 1) - energy_J(first - 1);
        expect(Math.abs(limb_J)).toBeGreaterThan(5);
        expect(Math.abs(limb_J - sensor_J - moved_J) / Math.abs(limb_J)).toBeLessThan(0.005);
      }
    }
  });

  test('a finer step of integration changes peaks by less than half a percent', () => {
    const script = [{ ...SET, speed_degps: 240, repetitions: 1 }];
    const peaks = [1000, 10_000].map((rate_Hz) => {
      const signal = demoSignal({
        pattern: 'knee-extension-flexion',
        script,
        imperfections: PERFECT,
        rate_Hz,
      });
      return spans(signal).map(({ first, end, way }) =>
        Math.max(...signal.truth.muscle_Nm.subarray(first, end).map((value) => way * value)),
      );
    });
    const [coarse = [], fine = []] = peaks;
    expect(coarse.length).toBe(2);
    for (const [k, peak] of coarse.entries()) {
      expect(Math.abs(peak / (fine[k] ?? NaN) - 1)).toBeLessThan(0.005);
    }
  });
});
