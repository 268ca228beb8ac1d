/**
 * The simulator's torque surface against numbers worked out from Anderson, Madigan & Nussbaum 2007
 * (J Biomech 40:3105, table 3) by an independent program, and its passive curve against the same.
 */
import { describe, expect, test } from 'vitest';
import {
  angleFactor,
  greatestTorque_Nm,
  passiveTorque_Nm,
  velocityFactor,
  type Body,
  type MuscleGroup,
} from '../../shared/simulation/surface.ts';

const DEG = Math.PI / 180;
const MAN: Body = { sex: 'male', mass_kg: 75, height_m: 1.75 };
const WOMAN: Body = { sex: 'female', mass_kg: 62, height_m: 1.65 };

/** Peak torque, Nm: greatest, its angle in degrees, then at 30, 60, 120, 180, 240 degrees a second. */
const PEAKS = [
  { body: MAN, group: 'kneeExtension', best: 210, at_deg: 65, moving: [189, 171, 142, 120, 101] },
  { body: MAN, group: 'kneeFlexion', best: 112, at_deg: 30, moving: [104, 96, 83, 72, 64] },
  { body: MAN, group: 'anklePlantarflexion', best: 122, at_deg: 23, moving: [103, 91, 74, 64, 57] },
  { body: MAN, group: 'ankleDorsiflexion', best: 42, at_deg: -11, moving: [34, 28, 20, 15, 12] },
  { body: WOMAN, group: 'kneeExtension', best: 160, at_deg: 73, moving: [143, 128, 105, 87, 72] },
  { body: WOMAN, group: 'kneeFlexion', best: 80, at_deg: 36, moving: [73, 67, 57, 48, 41] },
  {
    body: WOMAN,
    group: 'anklePlantarflexion',
    best: 104,
    at_deg: 24,
    moving: [86, 75, 60, 52, 47],
  },
  { body: WOMAN, group: 'ankleDorsiflexion', best: 27, at_deg: -17, moving: [23, 19, 15, 12, 9] },
] as const;
const SPEEDS_DEGPS = [30, 60, 120, 180, 240];

describe('torque surface', () => {
  test.each(PEAKS)('$body.sex $group', ({ body, group, best, at_deg, moving }) => {
    const best_Nm = greatestTorque_Nm(group, body);
    expect(Math.abs(best_Nm - best)).toBeLessThanOrEqual(0.5);
    expect(Math.abs(bestAngle_deg(group, body) - at_deg)).toBeLessThanOrEqual(1);
    for (const [k, expected] of moving.entries()) {
      const speed_radps = (SPEEDS_DEGPS[k] ?? NaN) * DEG;
      const torque_Nm = best_Nm * velocityFactor(group, body.sex, speed_radps, 1);
      expect(Math.abs(torque_Nm - expected)).toBeLessThanOrEqual(0.55);
    }
  });

  test('three quarters at c4 and half at c5, as the coefficients are named', () => {
    // Male knee extension: c4 = 1.517, c5 = 3.952 rad/s.
    expect(velocityFactor('kneeExtension', 'male', 1.517, 1)).toBeCloseTo(0.75, 12);
    expect(velocityFactor('kneeExtension', 'male', 3.952, 1)).toBeCloseTo(0.5, 12);
  });

  test('nothing is left at the largest speed of shortening, and nothing is negative beyond', () => {
    // Worked out from the same table: male knee extension 1147 degrees a second.
    expect(velocityFactor('kneeExtension', 'male', 1146 * DEG, 1)).toBeGreaterThan(0);
    expect(velocityFactor('kneeExtension', 'male', 1148 * DEG, 1)).toBe(0);
    expect(velocityFactor('kneeExtension', 'male', 3000 * DEG, 1)).toBe(0);
  });

  test('lengthening over shortening at the knee is 1.11, 1.22, 1.48 and 1.76', () => {
    // Worked out for a flat eccentric law; "stayed flat 0-270 deg/s" (21 men, 1988, abstract).
    for (const [speed, ratio] of [
      [30, 1.11],
      [60, 1.22],
      [120, 1.48],
      [180, 1.76],
    ] as const) {
      const eccentric = velocityFactor('kneeExtension', 'male', -speed * DEG, 1);
      const concentric = velocityFactor('kneeExtension', 'male', speed * DEG, 1);
      expect(Math.abs(eccentric / concentric - ratio)).toBeLessThanOrEqual(0.006);
    }
  });

  test('the angle curve is 0 beyond its foot, never negative', () => {
    for (let angle = -180; angle <= 180; angle++) {
      expect(angleFactor('kneeExtension', 'male', angle * DEG)).toBeGreaterThanOrEqual(0);
    }
    expect(angleFactor('kneeExtension', 'male', -10 * DEG)).toBe(0);
  });
});

describe('passive torque', () => {
  test('of a young male ankle toward plantarflexion', () => {
    // The same table worked out at -20, -10, 0, 10, 15 and 20 degrees of dorsiflexion.
    const expected = [0.111, 0.332, 0.966, 2.799, 4.763, 8.103];
    for (const [k, angle] of [-20, -10, 0, 10, 15, 20].entries()) {
      const torque_Nm = passiveTorque_Nm('anklePlantarflexion', 'male', angle * DEG);
      expect(torque_Nm).toBeCloseTo(expected[k] ?? NaN, 3);
    }
  });

  test('of a young male knee against extension', () => {
    for (const [angle, expected] of [
      [0, -6.25],
      [10, -2.84],
      [30, -0.59],
    ] as const) {
      expect(passiveTorque_Nm('kneeExtension', 'male', angle * DEG)).toBeCloseTo(expected, 2);
    }
  });

  test('what resists one direction drives the other', () => {
    for (const [one, other] of [
      ['kneeExtension', 'kneeFlexion'],
      ['anklePlantarflexion', 'ankleDorsiflexion'],
    ] as const) {
      for (const sex of ['male', 'female'] as const) {
        expect(passiveTorque_Nm(one, sex, 0.1)).toBeCloseTo(-passiveTorque_Nm(other, sex, 0.1), 12);
      }
    }
  });
});

function bestAngle_deg(group: MuscleGroup, { sex }: Body): number {
  let best = 0;
  for (let angle = -90; angle <= 150; angle++) {
    const isBetter = angleFactor(group, sex, angle * DEG) > angleFactor(group, sex, best * DEG);
    if (isBetter) best = angle;
  }
  return best;
}
