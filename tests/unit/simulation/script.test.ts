import { describe, expect, test } from 'vitest';
import { PERFECT } from '../../../shared/simulation/outputs.ts';
import { parseScript, type ScriptItem } from '../../../shared/simulation/script.ts';
import { SUBJECTS } from '../../../shared/simulation/subjects.ts';
import { demoSignal, spans } from '../../support/demo-signal.ts';

const DEFAULTS = { speed_degps: 60, repetitions: 5 };

function items(text: string): readonly ScriptItem[] {
  const script = parseScript(text, DEFAULTS);
  if (typeof script === 'string') throw new Error(script);
  return script;
}

describe('the text of a script', () => {
  test('items with and without numbers', () => {
    expect(items('rest:2,passive:5x2,isokinetic,isokinetic:120x3')).toEqual([
      { kind: 'rest', duration_s: 2 },
      { kind: 'passive', speed_degps: 5, sweeps: 2 },
      { kind: 'isokinetic', speed_degps: 60, repetitions: 5, ...BOTH_CONCENTRIC },
      { kind: 'isokinetic', speed_degps: 120, repetitions: 3, ...BOTH_CONCENTRIC },
    ]);
  });

  test('efforts are repeated, a hold is in percent', () => {
    expect(items('isometric:3x2')).toHaveLength(2);
    expect(items('isometricRising:4')).toMatchObject([{ way: 'rising', duration_s: 4 }]);
    expect(items('hold:30')).toEqual([
      { kind: 'isometric', way: 'falling', duration_s: 10, effort: 0.3 },
    ]);
  });

  test('what cannot be read is told with what would do', () => {
    expect(parseScript('jump', DEFAULTS)).toMatch(/script item "jump" is not known: use rest/);
    expect(parseScript('isokinetic:0', DEFAULTS)).toMatch(/above 0/);
    expect(parseScript('', DEFAULTS)).toMatch(/not known/);
    expect(parseScript('toString', DEFAULTS)).toMatch(/not known/);
    expect(parseScript('isometric:1x500', DEFAULTS)).toMatch(/at most 200/);
  });
});

const BOTH_CONCENTRIC = { falling: 'concentric', rising: 'concentric' } as const;

describe('playing a script', () => {
  const play = (text: string, pattern: 'knee' | 'ankle' = 'ankle') =>
    demoSignal({
      pattern: pattern === 'knee' ? 'knee-extension-flexion' : 'ankle-plantarflexion-dorsiflexion',
      subject: SUBJECTS[1],
      script: items(text),
      imperfections: PERFECT,
    });

  test('a set has its repetitions, each down and up over the whole range', () => {
    const { truth } = play('isokinetic:90x3');
    const all = spans({ truth });
    expect(all.map(({ repetition, way }) => [repetition, way])).toEqual([
      [1, -1],
      [1, 1],
      [2, -1],
      [2, 1],
      [3, -1],
      [3, 1],
    ]);
    for (const { first, end } of all) {
      const part = truth.angle_deg.subarray(first, end);
      expect(Math.max(...part)).toBeGreaterThan(14);
      expect(Math.min(...part)).toBeLessThan(-34);
    }
  });

  test('a passive sweep is without effort, at its speed, and weighs the limb', () => {
    const { truth, weight } = play('passive:5');
    expect(truth.muscle_Nm.every((value) => value === 0)).toBe(true);
    const [up, down] = spans({ truth });
    const middle = (span: typeof up) => Math.round(((span?.first ?? 0) + (span?.end ?? 0)) / 2);
    expect(truth.velocity_degps[middle(up)]).toBeCloseTo(5, 1);
    expect(truth.velocity_degps[middle(down)]).toBeCloseTo(-5, 1);
    const read = (span: typeof up) => truth.sensor_Nm[middle(span)] ?? NaN;
    const tissue = (span: typeof up) => truth.passive_Nm[middle(span)] ?? NaN;
    const angle = truth.angle_deg[middle(up)] ?? NaN;
    const weight_Nm =
      -weight.amplitude_Nm * Math.cos(((angle - weight.horizontalAt_deg) * Math.PI) / 180);
    expect(read(up) - tissue(up)).toBeCloseTo(weight_Nm, 1);
    // Tissue friction makes the two ways differ.
    expect(read(down) - read(up)).toBeGreaterThan(0.3);
  });

  test('an eccentric movement has torque against velocity, above the concentric one', () => {
    const concentric = play('isokinetic:120x1', 'knee');
    const eccentric = play('eccentric:120x1', 'knee');
    const middle = (signal: typeof concentric, k: number) => {
      const span = spans(signal)[k];
      const i = Math.round(((span?.first ?? 0) + (span?.end ?? 0)) / 2);
      return {
        muscle_Nm: signal.truth.muscle_Nm[i] ?? NaN,
        velocity_degps: signal.truth.velocity_degps[i] ?? NaN,
      };
    };
    // Extension brakes flexion (k 1) where it drove extension (k 0).
    expect(middle(concentric, 0).muscle_Nm).toBeLessThan(-100);
    expect(middle(concentric, 0).velocity_degps).toBeLessThan(-110);
    expect(middle(eccentric, 1).velocity_degps).toBeGreaterThan(110);
    expect(middle(eccentric, 1).muscle_Nm).toBeLessThan(1.2 * middle(concentric, 0).muscle_Nm);
  });

  test('con-ecc keeps one muscle group at work in both ways', () => {
    const signal = play('conecc:60x1', 'knee');
    for (const { first, end } of spans(signal)) {
      const i = Math.round((first + end) / 2);
      expect(signal.truth.muscle_Nm[i]).toBeLessThan(-100);
    }
  });

  test('under a constant load the velocity is the limb’s own and the torque stays near the load', () => {
    // 20 Nm, and the inertia and weight of the limb on top of it.
    const signal = play('isotonic:20x2', 'knee');
    const [span] = spans(signal);
    const i = Math.round(((span?.first ?? 0) + (span?.end ?? 0)) / 2);
    expect(signal.truth.velocity_degps[i]).toBeLessThan(-150);
    const read_Nm = signal.truth.sensor_Nm[i] ?? NaN;
    expect(read_Nm).toBeLessThan(-20);
    expect(read_Nm).toBeGreaterThan(-70);
  });

  test('a load that is too heavy stalls the limb, and the set goes on', () => {
    const signal = play('isotonic:150x2', 'knee');
    const all = spans(signal);
    expect(all).toHaveLength(4);
    for (const { first, end } of all) expect((end - first) / signal.rate_Hz).toBeLessThan(3);
  });

  test('a short repetition turns back before 90 % of the range, the others do not', () => {
    const { truth } = demoSignal({
      subject: SUBJECTS[1],
      script: [
        {
          kind: 'isokinetic',
          speed_degps: 120,
          repetitions: 3,
          ...BOTH_CONCENTRIC,
          short: { repetition: 2, share: 0.5 },
        },
      ],
    });
    const lowest = [1, 2, 3].map((repetition) =>
      Math.min(...truth.angle_deg.filter((_, i) => truth.repetition[i] === repetition)),
    );
    expect(lowest[0]).toBeLessThan(-34);
    expect(lowest[1]).toBeGreaterThan(-29);
    expect(lowest[2]).toBeLessThan(-34);
  });

  test('the default cycle has a sweep, two sets and an effort', () => {
    expect(items('cycle').map(({ kind }) => kind)).toEqual([
      'rest',
      'passive',
      'isokinetic',
      'rest',
      'isometric',
      'rest',
      'isokinetic',
      'rest',
    ]);
  });
});
