/**
 * Worked sinusoid of a passive limb (amplitude 12, line of mass 10 degrees off, offset 0.8; ten angles),
 * computed with numpy; and what a one-point weighing costs on the same limb.
 */
import { describe, expect, it } from 'vitest';
import { weighAtOnePoint } from '../../shared/gravity/one-point.ts';
import { removeWeight, weightAt } from '../../shared/gravity/remove.ts';
import { fitSinusoid, pointAt } from '../../shared/gravity/sinusoid.ts';
import { weighingOf } from '../../shared/gravity/weighing.ts';

const READINGS_NM = [
  12.617693, 12.076311, 11.192305, 9.992533, 8.513451, 6.8, 4.904242, 2.883778, 0.8, -1.283778,
];

function fit() {
  const found = fitSinusoid(READINGS_NM.map((torque, i) => pointAt(10 * i, torque)));
  if (found === null) throw new Error('no fit');
  return found;
}

describe('worked sinusoid', () => {
  it('is found with the sign whose angle is nearest the middle of the range', () => {
    expect(fit().amplitude_Nm).toBeCloseTo(-12, 6);
    expect(fit().horizontalAt_deg).toBeCloseTo(-10, 5);
    expect(fit().offset_Nm).toBeCloseTo(0.8, 6);
    // p = 11.81769304, q = -2.08377813 of read = p cos + q sin + c
    const { amplitude_Nm: a, horizontalAt_deg: h } = fit();
    expect(-a * Math.cos((h * Math.PI) / 180)).toBeCloseTo(11.81769304, 6);
    expect(-a * Math.sin((h * Math.PI) / 180)).toBeCloseTo(-2.08377813, 6);
  });

  it('is identifiable over 90 degrees', () => {
    expect(weighingOf(fit(), [0, 90], 'bothWays')).toMatchObject({
      identifiable: true,
      range_deg: [0, 90],
    });
  });

  it('removes what it was fitted to', () => {
    const { amplitude_Nm, horizontalAt_deg, offset_Nm } = fit();
    const gravity = { kind: 'sinusoid', amplitude_Nm, horizontalAt_deg, offset_Nm } as const;
    const out = new Float64Array(READINGS_NM.length);
    removeWeight(
      gravity,
      READINGS_NM,
      READINGS_NM.map((_, i) => 10 * i),
      out,
    );
    for (const rest of out) expect(Math.abs(rest)).toBeLessThan(1e-6);
  });

  // Offset removed, weighed at one angle with the lever taken for the line of mass.
  it.each([
    [0, 2.084],
    [45, 2.084],
    [60, 3.609],
  ])('one point at %f degrees is wrong by up to %f Nm', (at_deg, most_Nm) => {
    const truth = {
      kind: 'sinusoid',
      amplitude_Nm: -12,
      horizontalAt_deg: -10,
      offset_Nm: 0,
    } as const;
    const weighed = weighAtOnePoint({
      angle_deg: at_deg,
      torque_Nm: weightAt(truth, at_deg),
      horizontalAt_deg: 0,
    });
    if (!('gravity' in weighed)) throw new Error(weighed.problem);
    const errors = Array.from({ length: 91 }, (_, angle) =>
      Math.abs(weightAt(weighed.gravity, angle) - weightAt(truth, angle)),
    );
    expect(Math.max(...errors)).toBeCloseTo(most_Nm, 3);
  });
});

describe('seated knee, weight 11.70463 Nm, flexion rising', () => {
  const gravity = {
    kind: 'sinusoid',
    amplitude_Nm: -11.70463,
    horizontalAt_deg: 0,
    offset_Nm: 0,
  } as const;

  it('at 30 degrees 150 read in extension are 160.13650, 90 read in flexion are 79.86350', () => {
    expect(weightAt(gravity, 30)).toBeCloseTo(10.1365, 4);
    // Extension is falling: torque toward extension is negative.
    expect(-150 - weightAt(gravity, 30)).toBeCloseTo(-160.1365, 4);
    expect(90 - weightAt(gravity, 30)).toBeCloseTo(79.8635, 4);
  });
});
