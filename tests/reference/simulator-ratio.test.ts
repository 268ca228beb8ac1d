/**
 * The end-to-end check of the simulator by a known mistake: with the weight left in, the knee's
 * flexion-extension ratio rises with speed (Aagaard 1995, Acta Physiol Scand: 0.58 -> 0.74 from 30 to
 * 240 degrees a second, corrected 0.47-0.54). Figures for this model were worked out beforehand.
 */
import { describe, expect, test } from 'vitest';
import { PERFECT, TYPICAL } from '../../shared/simulation/outputs.ts';
import { SUBJECTS } from '../../shared/simulation/subjects.ts';
import { atAngle, demoSignal, smoothed, spans, type DemoSignal } from '../support/demo-signal.ts';

const DEG = Math.PI / 180;
const EXTENSION_AT_DEG = 65;
const FLEXION_AT_DEG = 30;

/** The figures below are those of the surface: an effort that neither wanders nor varies. */
const STEADY = { ...TYPICAL, effortWander: 0, effortVariation: 0 };

function knee(speed_degps: number, imperfections = STEADY): DemoSignal {
  const set = { kind: 'isokinetic', falling: 'concentric', rising: 'concentric' } as const;
  return demoSignal({
    seed: 7,
    pattern: 'knee-extension-flexion',
    subject: SUBJECTS[1],
    script: [{ ...set, speed_degps, repetitions: 1 }],
    imperfections,
  });
}

/** Extension and flexion at their angles, from the sensor's signal over one mains period. */
function readings(signal: DemoSignal, torque_Nm: Float64Array) {
  const smooth = smoothed(torque_Nm, 10);
  const [extension, flexion] = spans(signal);
  if (!extension || !flexion) throw new Error('no repetition');
  return {
    extension_Nm: -atAngle(smooth, signal.angle_deg, extension, EXTENSION_AT_DEG),
    flexion_Nm: atAngle(smooth, signal.angle_deg, flexion, FLEXION_AT_DEG),
  };
}

/** muscle = read + A cos(angle - H). */
function weightRemoved({ torque_Nm, angle_deg, weight }: DemoSignal): Float64Array {
  const { amplitude_Nm, horizontalAt_deg } = weight;
  return torque_Nm.map((value, i) => {
    return value + amplitude_Nm * Math.cos(((angle_deg[i] ?? NaN) - horizontalAt_deg) * DEG);
  });
}

describe('the weight of 15 Nm left in', () => {
  test('the weight of the book subject with attachment is 15 Nm', () => {
    expect(knee(240).weight.amplitude_Nm).toBeCloseTo(-15, 1);
    expect(knee(240).weight.horizontalAt_deg).toBe(0);
  });

  test.each([
    [60, 0.66, 0.56],
    [240, 0.807, 0.628],
  ])('at %i degrees a second the ratio reads %f instead of %f', (speed, uncorrected, corrected) => {
    const signal = knee(speed);
    const read = readings(signal, signal.torque_Nm);
    const muscle = readings(signal, weightRemoved(signal));
    expect(Math.abs(read.flexion_Nm / read.extension_Nm - uncorrected)).toBeLessThan(0.03);
    expect(Math.abs(muscle.flexion_Nm / muscle.extension_Nm - corrected)).toBeLessThan(0.03);
  });

  test('extension reads too low and flexion too high, and the error grows with speed', () => {
    const error = (speed: number) => {
      const signal = knee(speed);
      const read = readings(signal, signal.torque_Nm);
      const muscle = readings(signal, weightRemoved(signal));
      expect(read.extension_Nm).toBeLessThan(muscle.extension_Nm);
      expect(read.flexion_Nm).toBeGreaterThan(muscle.flexion_Nm);
      return read.flexion_Nm / read.extension_Nm - muscle.flexion_Nm / muscle.extension_Nm;
    };
    expect(error(240)).toBeGreaterThan(error(60));
  });

  test.each([60, 240])(
    'weight removed, the truth is met within 2 percent at %i degrees a second',
    (v) => {
      const signal = knee(v, TYPICAL);
      const muscle = readings(signal, weightRemoved(signal));
      const [extension, flexion] = spans(signal);
      if (!extension || !flexion) throw new Error('no repetition');
      const { muscle_Nm, angle_deg } = signal.truth;
      const extensionTruth_Nm = -atAngle(muscle_Nm, angle_deg, extension, EXTENSION_AT_DEG);
      const flexionTruth_Nm = atAngle(muscle_Nm, angle_deg, flexion, FLEXION_AT_DEG);
      expect(Math.abs(muscle.extension_Nm / extensionTruth_Nm - 1)).toBeLessThan(0.02);
      expect(Math.abs(muscle.flexion_Nm / flexionTruth_Nm - 1)).toBeLessThan(0.02);
    },
  );

  test('without noise 60 degrees a second gives 171.4 and 96.0 Nm', () => {
    const signal = knee(60, PERFECT);
    const muscle = readings(signal, weightRemoved(signal));
    expect(Math.abs(muscle.extension_Nm - 171.4)).toBeLessThan(1);
    expect(Math.abs(muscle.flexion_Nm - 96)).toBeLessThan(1);
  });
});
