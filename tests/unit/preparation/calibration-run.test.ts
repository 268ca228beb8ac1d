/** Calibrating on the simulated machine: mass 3 is not what is stamped on it, mass 5 swings. */
import { beforeAll, beforeEach, describe, expect, it } from 'vitest';
import {
  createCalibrationRun,
  loadsOf,
  planTrouble,
  type CalibrationPlan,
} from '../../../shared/preparation/calibration-run.ts';
import { createSimulation } from '../../../shared/simulation/index.ts';
import { HANGER_ARM_M, STAMPED_KG, THIRD_KG } from '../../../shared/simulation/masses.ts';

const EACH_S = 8;
const RATE_HZ = 1000;
const BLOCK = 50;
const PLAN: CalibrationPlan = {
  masses_kg: STAMPED_KG,
  arm_m: HANGER_ARM_M,
  isBothWays: true,
  toMeasure_Nm: 120,
};
/** Of the machine's torque output: 10 V at 250 N·m, 16 bits over ±10 V. */
const TRUE_SLOPE = (250 / 10) * (20 / 65_536);

/** Asks for a reading one second after each load was hung on. */
function calibrate(plan = PLAN) {
  const simulation = createSimulation({ script: [{ kind: 'masses', each_s: EACH_S }] });
  const torque = simulation.wiring.channels[0];
  const run = createCalibrationRun(plan, {
    slope: torque?.slope ?? 1,
    offset: torque?.offset ?? 0,
  });
  for (let k = 0; !simulation.isOver; k += 1) {
    const t = (k * BLOCK) / RATE_HZ;
    if (Math.abs((t % EACH_S) - 1) < 1e-9) run.read();
    const { columns } = simulation.next(BLOCK);
    run.push(columns[0] ?? [], BLOCK, RATE_HZ);
  }
  return run;
}

describe('calibration with known masses', () => {
  // Three minutes of the machine are simulated once; what a test puts right is undone before the next.
  let run: ReturnType<typeof calibrate>;
  beforeAll(() => {
    run = calibrate();
  });
  beforeEach(() => {
    run.exclude(3, false);
    run.restate(3, 15);
  });

  it('reads every load, names the mis-stated and the swinging mass, and is not accepted', () => {
    const { view } = run;
    expect(view.readings).toHaveLength(loadsOf(PLAN).length);
    expect(
      view.named.filter((words) => words.startsWith('Mass 3 is stated as 15 kg')),
    ).toHaveLength(1);
    expect(view.named.some((words) => /^Mass 5 \(25 kg\) swung/.test(words))).toBe(true);
    expect(view.named.filter((words) => !/^Mass [35] /.test(words))).toEqual([]);
    expect(view.acceptance?.isAccepted).toBe(false);
  });

  it('says what mass 3 really is, within half a percent', () => {
    const words = run.view.named.find((each) => each.startsWith('Mass 3')) ?? '';
    const real_kg = Number(/make it (\d+\.\d+) kg/.exec(words)?.[1]);
    expect(Math.abs(real_kg / THIRD_KG - 1)).toBeLessThan(0.005);
  });

  it.each([
    ['left out', () => run.exclude(3, true)],
    ['weighed again', () => void run.restate(3, THIRD_KG)],
  ])('is accepted within 0.2 %% of the true slope once mass 3 is %s', (_, putRight) => {
    putRight();
    const { fit, acceptance } = run.view;
    expect(acceptance?.reasons).toEqual([]);
    expect(Math.abs((fit?.slope ?? 0) / TRUE_SLOPE - 1)).toBeLessThan(0.002);
  });

  it('takes the last reading back', () => {
    const before = run.view.readings.length;
    run.back();
    expect(run.view.readings).toHaveLength(before - 1);
  });

  it.each([
    [{ masses_kg: [5, 15, 10] }, 'The masses must rise'],
    [{ masses_kg: [5, 10] }, 'At least three masses'],
    [{ arm_m: 50 }, 'The arm lies between'],
    [{ toMeasure_Nm: 0 }, 'largest torque'],
  ])('refuses %j in words', (change, words) => {
    expect(planTrouble({ ...PLAN, ...change })).toContain(words);
    expect(planTrouble(PLAN)).toBe('');
  });
});
