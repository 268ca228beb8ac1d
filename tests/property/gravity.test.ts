/** What holds for every weight: adding and removing it changes nothing, and a sweep finds it again. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Gravity } from '../../shared/gravity/gravity.ts';
import { removeWeight, weightAt } from '../../shared/gravity/remove.ts';
import { fitSinusoid, pointAt } from '../../shared/gravity/sinusoid.ts';
import { fitWeighing } from '../../shared/gravity/weighing.ts';

const finite = (min: number, max: number) =>
  fc.double({ min, max, noNaN: true, noDefaultInfinity: true });

const sinusoid = fc.record({
  kind: fc.constant('sinusoid' as const),
  amplitude_Nm: finite(2, 80),
  horizontalAt_deg: finite(-90, 90),
  offset_Nm: finite(-20, 20),
});

const curve = fc
  .uniqueArray(fc.integer({ min: -90, max: 90 }), { minLength: 2, maxLength: 8 })
  .chain((angles) =>
    fc.record({
      kind: fc.constant('curve' as const),
      angle_deg: fc.constant(angles.toSorted((a, b) => a - b)),
      torque_Nm: fc.array(finite(-50, 50), { minLength: angles.length, maxLength: angles.length }),
    }),
  );

const gravity: fc.Arbitrary<Gravity> = fc.oneof(
  sinusoid,
  curve,
  fc.constant({ kind: 'none' } as const),
);

describe('any gravity', () => {
  it('added and removed leaves the torque', () => {
    fc.assert(
      fc.property(gravity, fc.array(fc.tuple(finite(-90, 90), finite(-300, 300))), (g, samples) => {
        const angle = samples.map(([a]) => a);
        const read = samples.map(([a, torque]) => torque + weightAt(g, a));
        const out = new Float64Array(samples.length);
        removeWeight(g, read, angle, out);
        samples.forEach(([a, torque], i) => {
          if (Number.isNaN(weightAt(g, a))) expect(out[i]).toBeNaN();
          else expect(out[i]).toBeCloseTo(torque, 9);
        });
      }),
    );
  });

  it('a curve stays between its neighbouring points', () => {
    fc.assert(
      fc.property(curve, finite(-90, 90), (g, angle) => {
        const value = weightAt(g, angle);
        const i = g.angle_deg.findLastIndex((a) => a <= angle);
        if (i < 0 || angle > g.angle_deg[g.angle_deg.length - 1]) {
          expect(value).toBeNaN();
          return;
        }
        const ends = [g.torque_Nm[i], g.torque_Nm[Math.min(i + 1, g.torque_Nm.length - 1)]];
        expect(value).toBeGreaterThanOrEqual(Math.min(...ends) - 1e-9);
        expect(value).toBeLessThanOrEqual(Math.max(...ends) + 1e-9);
      }),
    );
  });
});

describe('any weight', () => {
  it('is found again from a sweep with friction, at the angle nearest the middle', () => {
    fc.assert(
      fc.property(sinusoid, finite(-60, 0), finite(0, 5), (g, from, friction) => {
        const there = Array.from({ length: 401 }, (_, i) => from + i * 0.25);
        const angle = [...there, ...there.toReversed()];
        const velocity = angle.map((_, i) => (i < 401 ? 5 : -5));
        const torque = angle.map((a, i) => weightAt(g, a) + Math.sign(velocity[i]) * friction);
        const weighing = fitWeighing(angle, torque, velocity);
        const { amplitude_Nm, horizontalAt_deg, offset_Nm } = weighing;
        if (amplitude_Nm === null || horizontalAt_deg === null || offset_Nm === null) {
          throw new Error('not fitted');
        }
        expect(Math.abs(horizontalAt_deg - (from + 50))).toBeLessThanOrEqual(90 + 1e-6);
        const found = { kind: 'sinusoid', amplitude_Nm, horizontalAt_deg, offset_Nm } as const;
        for (const a of [from, from + 37, from + 100]) {
          expect(weightAt(found, a)).toBeCloseTo(weightAt(g, a), 6);
        }
      }),
      { numRuns: 30 },
    );
  });

  it('mirrored angles mirror the angle, not the amplitude', () => {
    fc.assert(
      fc.property(sinusoid, (g) => {
        const angles = Array.from({ length: 19 }, (_, i) => -40 + 5 * i);
        const fitted = (sign: 1 | -1) =>
          fitSinusoid(angles.map((a) => pointAt(sign * a, weightAt(g, a))));
        const [one, other] = [fitted(1), fitted(-1)];
        const middle = Math.abs((one?.horizontalAt_deg ?? 0) - 5);
        // Exactly a quarter turn from the middle both half turns are equally near.
        fc.pre(middle < 89.99);
        expect(other?.amplitude_Nm).toBeCloseTo(one?.amplitude_Nm ?? 0, 6);
        expect(other?.horizontalAt_deg).toBeCloseTo(-(one?.horizontalAt_deg ?? 0), 6);
      }),
    );
  });
});
