/**
 * Known masses on the bare lever for a calibration: five of them, up and down, on one side and the other.
 * The third is not what is stamped on it, and the fifth swings when it is hung on.
 */
import type { Stage } from './play.ts';

/** As stamped, lightest first. */
export const STAMPED_KG = [5, 10, 15, 20, 25] as const;
/** What the third really is. */
export const THIRD_KG = 16;
export const HANGER_ARM_M = 0.5;

const GRAVITY_MPS2 = 9.80665;
/** The fifth swings this much at first, and comes to rest. */
const SWING_NM = 4;
const SWING_HZ = 0.9;
const SWING_DECAY_S = 1.2;
/** Hands are on the lever while a load is changed. */
const CHANGE_S = 0.5;

export function* hangMasses(each_s: number, stage: Stage): Generator<void, void, void> {
  const up = STAMPED_KG.map((_, k) => k + 1);
  const way = [...up, ...up.toReversed().slice(1), 0];
  const order = [0, ...way, ...way.map((number) => -number)];
  stage.machine.order({ kind: 'hold' });
  let before = 0;
  for (const number of order) {
    const torque_Nm = torqueOf(number);
    const swing_Nm = Math.abs(number) === STAMPED_KG.length ? SWING_NM : 0;
    const nSteps = Math.round(each_s / stage.step_s);
    for (let i = 0; i < nSteps; i += 1) {
      const t = i * stage.step_s;
      const share = Math.min(1, t / CHANGE_S);
      const swing = Math.exp(-t / SWING_DECAY_S) * Math.sin(2 * Math.PI * SWING_HZ * t);
      stage.hung_Nm = before + (torque_Nm - before) * share + swing_Nm * swing;
      yield;
    }
    before = torque_Nm;
  }
  stage.hung_Nm = null;
}

/** By the number of the mass, negative on the other side of the lever. */
function torqueOf(number: number): number {
  const stamped = STAMPED_KG[Math.abs(number) - 1] ?? 0;
  const mass_kg = Math.abs(number) === 3 ? THIRD_KG : stamped;
  return Math.sign(number) * mass_kg * GRAVITY_MPS2 * HANGER_ARM_M;
}
