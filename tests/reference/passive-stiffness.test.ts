/**
 * Passive stiffness: the exponential passive ankle of Anderson, Madigan & Nussbaum 2007 (J Biomech
 * 40:3105, coefficients as quoted in public code; values computed with numpy), the fourth-order polynomial
 * of Riemann et al. 2001 (J Athl Train 36:369), and the hysteresis of the real ankle sweeps.
 */
import { describe, expect, it } from 'vitest';
import { hysteresis, stiffnessAt } from '../../shared/gravity/stiffness.ts';
import { hasReferenceData, referenceColumns } from '../support/reference-data.ts';
import { lowPassed } from '../support/stated-method.ts';

/** Resisting torque of a young man's ankle, dorsiflexion positive: B1 exp(k1 a) + B2 exp(k2 a). */
function resisting_Nm(angle_deg: number): number {
  const angle = (angle_deg * Math.PI) / 180;
  return -0.0005781 * Math.exp(-5.819 * angle) + 0.967 * Math.exp(6.09 * angle);
}

describe('exponential ankle', () => {
  it.each([
    [-20, 0.111],
    [-10, 0.332],
    [0, 0.966],
    [10, 2.799],
    [15, 4.763],
    [20, 8.103],
  ])('torque at %f degrees', (angle, torque) => {
    expect(resisting_Nm(angle)).toBeCloseTo(torque, 3);
  });

  // Swept as in Riemann 2001, 23 degrees of plantarflexion to 13 of dorsiflexion, with the reading
  // negative: the limb resists dorsiflexion. The polynomial of degree 4 is not an exponential: 2 %.
  it.each([
    [-10, 0.0357],
    [0, 0.1028],
    [10, 0.2976],
  ])('stiffness at %f degrees', (angle, stiffness) => {
    const angles = Array.from({ length: 721 }, (_, i) => -23 + i * 0.05);
    const readings = angles.map((a) => -resisting_Nm(a));
    const [found] = stiffnessAt(angles, readings, [angle]);
    const slope = found.stiffness_Nmpdeg ?? Number.NaN;
    expect(Math.abs(slope - stiffness)).toBeLessThan(0.02 * Math.max(stiffness, 0.1));
  });

  it('has no value outside the sweep', () => {
    const angles = Array.from({ length: 100 }, (_, i) => i * 0.1);
    expect(stiffnessAt(angles, angles, [-1, 5, 11])).toMatchObject([
      { stiffness_Nmpdeg: null },
      { stiffness_Nmpdeg: expect.closeTo(-1, 9) as number },
      { stiffness_Nmpdeg: null },
    ]);
  });
});

describe('hysteresis', () => {
  // Friction f both ways over a range R: the loop's area is 2 f R. Geometry, no source needed.
  it('of plain friction', () => {
    const up = Array.from({ length: 201 }, (_, i) => -10 + i * 0.2);
    const down = up.toReversed().map((angle) => angle + 5);
    const one = { angle_deg: up, torque_Nm: up.map((a) => 0.3 * a + 1.5) };
    const other = { angle_deg: down, torque_Nm: down.map((a) => 0.3 * a - 1.5) };
    const loop = hysteresis(one, other);
    expect(loop?.range_deg[0]).toBeCloseTo(-5, 12);
    expect(loop?.range_deg[1]).toBeCloseTo(30, 12);
    expect(loop?.energy_J).toBeCloseTo((2 * 1.5 * 35 * Math.PI) / 180, 9);
    expect(hysteresis(one, one)?.energy_J).toBeGreaterThan(0);
  });

  it('needs a common range', () => {
    const one = { angle_deg: [0, 1], torque_Nm: [0, 0] };
    const other = { angle_deg: [2, 3], torque_Nm: [0, 0] };
    expect(hysteresis(one, other)).toBeNull();
  });

  // reference.json: net work 0.8721 J lengthening and 0.8239 J shortening over the rows of the rotations,
  // torque low-passed at 12 Hz and angle at 1 Hz by the stated method.
  it.runIf(hasReferenceData())('of the real ankle', () => {
    const trial = (name: string, first: number, end: number) => {
      const { angle_deg, torque_Nm } = referenceColumns('ankle-stretch-hold', `${name}.csv.gz`);
      return {
        angle_deg: lowPassed(angle_deg, 1, 2000).subarray(first, end + 1),
        torque_Nm: lowPassed(torque_Nm, 12, 2000).subarray(first, end + 1),
      };
    };
    const loop = hysteresis(
      trial('Pas_Sho2Long', 10012, 26110),
      trial('Pas_Long2Sho', 10051, 28568),
    );
    // The common range is 0.7 degrees shorter than either: about 0.02 J of friction less.
    expect(Math.abs((loop?.energy_J ?? 0) - (0.8721 + 0.8239))).toBeLessThan(0.03);
  });
});
