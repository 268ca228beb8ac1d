/** Weighing at its edges: too little sweep, one way only, near vertical, implausible, no relaxed limb. */
import { describe, expect, it } from 'vitest';
import { curveOfHolds, fitCurve, readHold } from '../../../shared/gravity/curve.ts';
import { addInertia, inertialTorque_Nm } from '../../../shared/gravity/inertia.ts';
import { weighAtOnePoint } from '../../../shared/gravity/one-point.ts';
import { expectedWeight, judgeWeight } from '../../../shared/gravity/plausibility.ts';
import { removeWeight, weightAt } from '../../../shared/gravity/remove.ts';
import { readSweep } from '../../../shared/gravity/sweep.ts';
import { fitWeighing } from '../../../shared/gravity/weighing.ts';
import { FLAG_THRESHOLDS } from '../../../shared/flags/thresholds.ts';

/** There and back at 5 deg/s, 100 Hz, with friction and an offset. */
function sweep(from: number, to: number, torqueAt: (angle: number) => number, friction_Nm = 1) {
  const there = Array.from({ length: (to - from) * 20 + 1 }, (_, i) => from + i * 0.05);
  const angle = [...there, ...there.toReversed()];
  const velocity = angle.map((_, i) => (i < there.length ? 5 : -5));
  const torque = angle.map((a, i) => torqueAt(a) + (i < there.length ? friction_Nm : -friction_Nm));
  return { angle, torque, velocity };
}

const KNEE = { kind: 'sinusoid', amplitude_Nm: -14, horizontalAt_deg: 5, offset_Nm: 0.6 } as const;

describe('weighing over a sweep', () => {
  it('finds weight and offset, whatever the friction', () => {
    const { angle, torque, velocity } = sweep(0, 90, (a) => weightAt(KNEE, a), 3);
    const weighing = fitWeighing(angle, torque, velocity);
    expect(weighing.amplitude_Nm).toBeCloseTo(-14, 9);
    expect(weighing.horizontalAt_deg).toBeCloseTo(5, 9);
    expect(weighing.offset_Nm).toBeCloseTo(0.6, 9);
    expect(weighing.identifiable).toBe(true);
    expect(readSweep(angle, torque, velocity).friction_Nm).toBeCloseTo(3, 9);
  });

  it.each([
    [20, false],
    [40, false],
    [60, true],
    [90, true],
  ])('14 Nm over %f degrees: identifiable %s', (range_deg, identifiable) => {
    const { angle, torque, velocity } = sweep(10, 10 + range_deg, (a) => weightAt(KNEE, a));
    expect(fitWeighing(angle, torque, velocity).identifiable).toBe(identifiable);
  });

  it('the range goes to the ends of the movement, for the curve too', () => {
    const { angle, torque, velocity } = sweep(0, 90, (a) => weightAt(KNEE, a));
    expect(fitWeighing(angle, torque, velocity).range_deg[0]).toBe(0);
    expect(fitWeighing(angle, torque, velocity).range_deg[1]).toBeGreaterThan(89.9);
    const curve = fitCurve(angle, torque, velocity);
    if (curve === null) throw new Error('no curve');
    expect(weightAt(curve.gravity, 0)).toBeCloseTo(weightAt(KNEE, 0), 2);
    expect(weightAt(curve.gravity, 89.9)).toBeCloseTo(weightAt(KNEE, 89.9), 2);
  });

  it('one way only is fitted, its friction unknown', () => {
    const { angle, torque, velocity } = sweep(0, 90, (a) => weightAt(KNEE, a), 0);
    const half = angle.length / 2;
    const one = readSweep(angle.slice(0, half), torque.slice(0, half), velocity.slice(0, half));
    expect(one.friction_Nm).toBeNull();
    expect(one.points.length).toBeGreaterThan(85);
  });

  it('a slip backwards is not a second direction', () => {
    const { angle, torque, velocity } = sweep(0, 90, (a) => weightAt(KNEE, a), 1);
    const half = angle.length / 2 + 300;
    const slipped = readSweep(angle.slice(0, half), torque.slice(0, half), velocity.slice(0, half));
    expect(slipped.friction_Nm).toBeNull();
    expect(slipped.points.length).toBeGreaterThan(85);
  });

  it('without movement every number is null', () => {
    const still = Array.from({ length: 500 }, () => 0);
    expect(fitWeighing(still, still, still)).toMatchObject({
      amplitude_Nm: null,
      horizontalAt_deg: null,
      offset_Nm: null,
      rmsResidual_Nm: null,
      identifiable: false,
    });
    expect(fitCurve(still, still, still)).toBeNull();
    expect(fitWeighing([], [], []).amplitude_Nm).toBeNull();
  });

  it('missing samples are left out', () => {
    const { angle, torque, velocity } = sweep(0, 90, (a) => weightAt(KNEE, a));
    const holed = torque.map((t, i) => (i % 7 === 0 ? Number.NaN : t));
    expect(fitWeighing(angle, holed, velocity).amplitude_Nm).toBeCloseTo(-14, 6);
  });

  it('a curve describes what a sinusoid does not', () => {
    const stiff = (a: number) => weightAt(KNEE, a) + 0.05 * Math.exp(a / 20);
    const { angle, torque, velocity } = sweep(0, 90, stiff);
    const curve = fitCurve(angle, torque, velocity);
    if (curve === null) throw new Error('no curve');
    expect(curve.rmsResidual_Nm).toBeLessThan(0.01);
    expect(fitWeighing(angle, torque, velocity).rmsResidual_Nm).toBeGreaterThan(0.05);
    expect(weightAt(curve.gravity, 45)).toBeCloseTo(stiff(45), 2);
    expect(weightAt(curve.gravity, 91)).toBeNaN();
  });
});

describe('one static reading', () => {
  it.each([
    [0, 60, true],
    [0, 61, false],
    [0, -61, false],
    [90, 150, true],
    [0, 180, true],
    [0, 119, false],
    [0, 121, true],
  ])('horizontal at %f, weighed at %f: %s', (horizontalAt_deg, angle_deg, isDone) => {
    const weighed = weighAtOnePoint({ angle_deg, torque_Nm: 7, horizontalAt_deg });
    expect('gravity' in weighed).toBe(isDone);
    if ('gravity' in weighed) expect(weightAt(weighed.gravity, angle_deg)).toBeCloseTo(7, 12);
    else expect(weighed.problem).toContain('near vertical');
  });

  it('nothing from NaN', () => {
    expect(
      weighAtOnePoint({ angle_deg: Number.NaN, torque_Nm: 7, horizontalAt_deg: 0 }),
    ).toHaveProperty('problem');
    expect(
      weighAtOnePoint({ angle_deg: 0, torque_Nm: Number.NaN, horizontalAt_deg: 0 }),
    ).toHaveProperty('problem');
  });
});

describe('static holds', () => {
  const hold = (scatter: number) =>
    Array.from({ length: 200 }, (_, i) => 5 + scatter * Math.sin(i));

  it('a relaxed one just short of the limit is read, a tense one is not', () => {
    expect(readHold(hold(0), hold(1.3))).toHaveProperty('hold');
    expect(readHold(hold(0), hold(1.5))).toHaveProperty('problem');
    expect(readHold([], [])).toHaveProperty('problem');
  });

  it('make a curve in any order, near ones averaged', () => {
    const curve = curveOfHolds([
      { angle_deg: 20, torque_Nm: 4 },
      { angle_deg: 0, torque_Nm: 1 },
      { angle_deg: 0.2, torque_Nm: 2 },
    ]);
    expect(curve).toEqual({ kind: 'curve', angle_deg: [0.1, 20], torque_Nm: [1.5, 4] });
    expect(curveOfHolds([{ angle_deg: 0, torque_Nm: 1 }])).toBeNull();
  });
});

describe('plausibility of 75 kg', () => {
  const leg = expectedWeight('legAndFoot', 75, 1.75, FLAG_THRESHOLDS);

  it('expects half to one and a half of 11.7 Nm, and an attachment', () => {
    expect(leg.limb_Nm[0]).toBeCloseTo(11.704626, 5);
    expect(leg.plausible_Nm[0]).toBeCloseTo(5.85, 2);
    expect(leg.plausible_Nm[1]).toBeCloseTo(27.56, 2);
  });

  it.each([
    [0.3, 'nothing'],
    [-0.3, 'nothing'],
    [4, 'small'],
    [6, 'plausible'],
    [-14, 'plausible'],
    [27, 'plausible'],
    [28, 'large'],
  ] as const)('%f Nm is %s', (amplitude, verdict) => {
    expect(judgeWeight(amplitude, leg)).toBe(verdict);
  });

  it('a foot is too light to be missed', () => {
    const foot = expectedWeight('foot', 75, null, FLAG_THRESHOLDS);
    expect(judgeWeight(0, foot)).toBe('plausible');
    expect(judgeWeight(15, foot)).toBe('large');
  });

  it('without a height the range is wider', () => {
    const wider = expectedWeight('legAndFoot', 75, null, FLAG_THRESHOLDS);
    expect(wider.limb_Nm[0]).toBeLessThan(leg.limb_Nm[0]);
    expect(wider.limb_Nm[1]).toBeGreaterThan(leg.limb_Nm[1]);
  });
});

describe('inertia', () => {
  // 0.458 kg m² at 1000 deg/s² (17.45 rad/s²): 8.0 Nm (leg and foot of 75 kg and 1.75 m).
  it('is I alpha', () => {
    expect(inertialTorque_Nm(0.458, 1000)).toBeCloseTo(8, 1);
    const out = new Float64Array(2);
    addInertia(0.458, [10, 10], [1000, 0], out);
    expect(out[0]).toBeCloseTo(18, 1);
    expect(out[1]).toBe(10);
  });
});

describe('removal', () => {
  it('works in place and leaves a torque without gravity alone', () => {
    const torque = Float64Array.of(1, 2, 3);
    removeWeight({ kind: 'none' }, torque, [0, 0, 0], torque);
    expect([...torque]).toEqual([1, 2, 3]);
    removeWeight(KNEE, torque, [5, 5, 5], torque);
    expect([...torque].map((t) => Math.round(1e9 * t) / 1e9)).toEqual([-13.6, -12.6, -11.6]);
  });

  it('NaN stays NaN', () => {
    const out = new Float64Array(2);
    removeWeight(KNEE, [Number.NaN, 1], [0, Number.NaN], out);
    expect([...out]).toEqual([Number.NaN, Number.NaN]);
  });
});
