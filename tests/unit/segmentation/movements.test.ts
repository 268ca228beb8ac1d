import { describe, expect, it } from 'vitest';
import { analyze } from '../../../shared/analysis.ts';
import type { Conditions, Phase, Signal } from '../../../shared/analysis-types.ts';
import { presetRecipe } from '../../../shared/recipe/presets.ts';
import { reciprocalSet, withColumn, withoutRows } from '../../support/analysis-signal.ts';

const RECIPE = presetRecipe({ mode: 'isokinetic' });

function phasesOf(signal: Signal, conditions: Conditions = {}): readonly Phase[] {
  return analyze(signal, { mode: 'isokinetic', speed_degps: 60, ...conditions }, RECIPE).phases;
}

function standing(phases: readonly Phase[]) {
  return phases.map(({ repetition, counts, reasons }) => [repetition, counts, ...reasons]);
}

describe('what counts', () => {
  it('all of a clean set', () => {
    expect(standing(phasesOf(reciprocalSet()))).toEqual([
      [1, true],
      [1, true],
      [2, true],
      [2, true],
      [3, true],
      [3, true],
    ]);
  });

  it('not a movement of less than 90 % of the range of its set', () => {
    const signal = reciprocalSet({ share: (k) => (k === 2 || k === 3 ? 0.6 : 1) });
    expect(standing(phasesOf(signal))).toEqual([
      [1, true],
      [1, true],
      [2, false, 'shortRange'],
      [2, false, 'shortRange'],
      [3, true],
      [3, true],
    ]);
  });

  it('not one short of a stated range, though all are alike', () => {
    const phases = phasesOf(reciprocalSet(), { setRange_deg: 100 });
    expect(phases.every(({ reasons }) => reasons.includes('shortRange'))).toBe(true);
  });

  it('still the others when the first move into position is longer than all', () => {
    const signal = reciprocalSet({ share: (k) => (k === 0 ? 1.5 : 1) });
    const phases = phasesOf(signal);
    expect(phases.slice(1).every(({ counts }) => counts)).toBe(true);
  });

  it('not what a person took out', () => {
    const decisions = [{ repetition: 1, direction: 'rising', counts: false, reason: 'slipped' }];
    expect(standing(phasesOf(reciprocalSet(), { decisions }))[0]).toEqual([1, false, 'rejected']);
  });

  it('not what the recording begins or ends inside', () => {
    const signal = reciprocalSet({ repetitions: 1 });
    const n = signal.time_s.length;
    const phases = phasesOf(withoutRows(withoutRows(signal, n - 1700, n), 0, 1500));
    expect(standing(phases)).toEqual([
      [1, false, 'cut'],
      [1, false, 'cut'],
    ]);
  });
});

describe('a movement that stands still on the way', () => {
  /** The second movement stops half way for a while and goes on. */
  function stopping(pause_s: number): Signal {
    const signal = reciprocalSet({ repetitions: 2, lead_s: 1.5 });
    const [, second] = phasesOf(signal);
    const at = Math.round((((second?.start_s ?? 0) + (second?.end_s ?? 0)) / 2) * 1000);
    const hold = Math.round(pause_s * 1000);
    const held = (x: Float64Array) =>
      Float64Array.of(
        ...x.subarray(0, at),
        ...new Float64Array(hold).fill(x[at]),
        ...x.subarray(at),
      );
    const angle = held(signal.angle_deg ?? new Float64Array());
    return {
      ...signal,
      time_s: angle.map((_, i) => i / 1000),
      angle_deg: angle,
      torque_Nm: held(signal.torque_Nm),
    };
  }

  it('for half a second is one interrupted movement that does not count', () => {
    const phases = phasesOf(stopping(0.5));
    expect(standing(phases)[1]).toEqual([1, false, 'interrupted']);
    expect(phases).toHaveLength(4);
    expect(phases[1]?.rangeOfMotion_deg).toBeCloseTo(80, 0);
  });

  it('for longer than the pause of sets is two, each too short', () => {
    const phases = phasesOf(stopping(1.5));
    expect(phases).toHaveLength(5);
    expect(phases.filter(({ reasons }) => reasons.includes('shortRange'))).toHaveLength(2);
  });

  it('for a blink is not interrupted', () => {
    const phases = phasesOf(stopping(0.03));
    expect(standing(phases)[1]).toEqual([1, true]);
  });
});

describe('a hole in a movement', () => {
  const signal = reciprocalSet({ repetitions: 1 });
  const whole = phasesOf(signal)[0];
  const middle = Math.round((((whole?.start_s ?? 0) + (whole?.end_s ?? 0)) / 2) * 1000);

  it.each([
    ['rows left out', (n: number) => withoutRows(signal, middle - n, middle)],
    [
      'missing numbers',
      (n: number) =>
        withColumn(
          withColumn(signal, 'torque_Nm', (v, i) => (i >= middle - n && i < middle ? NaN : v)),
          'angle_deg',
          (v, i) => (i >= middle - n && i < middle ? NaN : v),
        ),
    ],
  ])('%s: 40 ms go on over the true stamps, 80 ms do not count', (_, cut) => {
    const [short] = phasesOf(cut(40));
    expect(short).toMatchObject({ counts: true, reasons: [] });
    expect(Math.abs((short?.work_J ?? 0) / (whole?.work_J ?? 1) - 1)).toBeLessThan(0.01);
    expect(short?.end_s).toBeCloseTo(whole?.end_s ?? 0, 2);
    const [long, ...others] = phasesOf(cut(80));
    expect(others).toHaveLength(1);
    expect(long).toMatchObject({
      counts: false,
      reasons: ['gap'],
      work_J: null,
      impulse_Nms: null,
    });
    expect(long?.peakTorque_Nm).not.toBeNull();
  });

  it('takes no peak inside it', () => {
    const spiked = withColumn(signal, 'torque_Nm', (v, i) => {
      return i >= middle - 40 && i < middle ? Number.NaN : v;
    });
    const [phase] = phasesOf(spiked);
    const at = Math.round((phase?.peakTorqueTime_s ?? 0) * 1000);
    expect(at < middle - 40 || at >= middle).toBe(true);
  });

  it('of a second and a half parts the movement: nobody knows what happened', () => {
    const slow = reciprocalSet({ repetitions: 1, speed_degps: 20 });
    const phases = phasesOf(withoutRows(slow, 2500, 4000), { speed_degps: 20 });
    expect(phases).toHaveLength(3);
    expect(phases.slice(0, 2).every(({ reasons }) => reasons.includes('gap'))).toBe(true);
  });
});

describe('speeds and sets', () => {
  it('that nobody stated are worked out and named', () => {
    for (const speed_degps of [10, 30, 60, 120, 180, 240]) {
      const signal = reciprocalSet({ speed_degps, noise: [1, 0.1] });
      const { inferred, sets } = analyze(signal, {}, RECIPE);
      expect(inferred).toMatchObject({ mode: 'isokinetic', speed_degps });
      expect(sets.map((set) => set.speed_degps)).toEqual([speed_degps, speed_degps]);
    }
  });

  it('of two speeds in one table are two sets each way, numbers going on', () => {
    const [a, b] = [60, 180].map((speed_degps) =>
      reciprocalSet({ speed_degps, repetitions: 2, lead_s: 1.5 }),
    );
    if (!a || !b) throw new Error('no signals');
    const join = (x: Float64Array, y: Float64Array) => Float64Array.of(...x, ...y);
    const torque_Nm = join(a.torque_Nm, b.torque_Nm);
    const signal: Signal = {
      ...a,
      time_s: torque_Nm.map((_, i) => i / 1000),
      torque_Nm,
      angle_deg: join(a.angle_deg ?? new Float64Array(), b.angle_deg ?? new Float64Array()),
    };
    const { sets, phases, inferred } = analyze(signal, {}, RECIPE);
    expect(inferred).toMatchObject({ speed_degps: [60, 180] });
    expect(sets.map((set) => [set.direction, set.speed_degps, set.repetitions])).toEqual([
      ['rising', 60, 2],
      ['falling', 60, 2],
      ['rising', 180, 2],
      ['falling', 180, 2],
    ]);
    expect(phases.map(({ repetition }) => repetition)).toEqual([1, 1, 2, 2, 3, 3, 4, 4]);
    expect(phases.map((phase) => phase['set'])).toEqual([1, 1, 1, 1, 2, 2, 2, 2]);
  });

  it('a lone move before a pause does not pair up with the set after it', () => {
    const move = reciprocalSet({ repetitions: 1, lead_s: 1.2 });
    // The first movement toward rising only, a pause, then falling first.
    const set = reciprocalSet({ repetitions: 2, lead_s: 1.2 });
    const half = Math.round(((phasesOf(move)[0]?.end_s ?? 0) + 0.1) * 1000);
    const turn = (x: Float64Array | null) => (x ?? new Float64Array()).map((value) => 100 - value);
    const angle = Float64Array.of(
      ...(move.angle_deg ?? new Float64Array()).subarray(0, half),
      ...turn(set.angle_deg),
    );
    const torque = Float64Array.of(
      ...move.torque_Nm.subarray(0, half),
      ...set.torque_Nm.map((value) => -value),
    );
    const phases = phasesOf({
      ...move,
      time_s: angle.map((_, i) => i / 1000),
      angle_deg: angle,
      torque_Nm: torque,
    });
    expect(phases.map(({ repetition }) => repetition)).toEqual([1, 2, 2, 3, 3]);
  });
});

describe('a torque without sign', () => {
  const signal = withColumn(reciprocalSet({ repetitions: 2 }), 'torque_Nm', Math.abs);

  it('is told, and read as concentric one way and eccentric the other', () => {
    const { flags, phases } = analyze(signal, { mode: 'isokinetic' }, RECIPE);
    expect(flags.map(({ kind }) => kind)).toContain('torqueUnsigned');
    expect(new Set(phases.map(({ action }) => action))).toEqual(
      new Set(['concentric', 'eccentric']),
    );
  });

  it('takes the sign of the movement when it is said to be unsigned', () => {
    const signed = phasesOf(reciprocalSet({ repetitions: 2 }));
    const phases = phasesOf(signal, { torque: 'unsigned' });
    phases.forEach((phase, k) => {
      expect(phase.action).toBe('concentric');
      expect(phase.peakTorque_Nm).toBeCloseTo(signed[k]?.peakTorque_Nm ?? 0, 6);
    });
  });
});

describe('nothing to find', () => {
  it('in a limb that does not move: no phase, no set, no number', () => {
    const still = withColumn(reciprocalSet(), 'angle_deg', () => 30);
    const document = analyze(still, { mode: 'isokinetic' }, RECIPE);
    expect(document).toMatchObject({ phases: [], sets: [], ratios: [] });
  });

  it('in a torque that never changes: movements without torque, null and not 0', () => {
    for (const constant of [0, 12.5]) {
      const [phase] = phasesOf(withColumn(reciprocalSet(), 'torque_Nm', () => constant));
      expect(phase).toMatchObject({ peakTorque_Nm: null, work_J: null, impulse_Nms: null });
      expect(phase?.rangeOfMotion_deg).toBeCloseTo(80, 0);
    }
  });

  it('in one sample', () => {
    const one = withoutRows(reciprocalSet(), 1, 1e6);
    for (const mode of ['isokinetic', 'isotonic', 'isometric', 'passive'] as const) {
      expect(analyze(one, { mode }, presetRecipe({ mode })).phases).toEqual([]);
    }
  });
});
