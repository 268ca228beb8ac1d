/**
 * The measures of a phase, in the order of columns. A new one is one file and one line here: it then
 * has a column, a row in the README and a place in the contract test.
 */
import { angleAtPeakTorque } from './angle-at-peak-torque.ts';
import { bestMeanTorque } from './best-mean-torque.ts';
import { brakingTime } from './braking-time.ts';
import { impulse } from './impulse.ts';
import { meanPower } from './mean-power.ts';
import { meanTorque } from './mean-torque.ts';
import { meanVelocity } from './mean-velocity.ts';
import { type Measure, type MeasureValue, measured } from './measure.ts';
import { peakPower } from './peak-power.ts';
import { peakTorqueTime } from './peak-torque-time.ts';
import { peakTorque } from './peak-torque.ts';
import { peakVelocity } from './peak-velocity.ts';
import { meanPowerPerMass, peakTorquePerMass, workPerMass } from './per-mass.ts';
import { rangeOfMotion } from './range-of-motion.ts';
import { rawPeakTorque } from './raw-peak-torque.ts';
import { steadiness } from './steadiness.ts';
import { stiffness } from './stiffness.ts';
import { timeToPeakTorque } from './time-to-peak-torque.ts';
import { timeToSpeed } from './time-to-speed.ts';
import { torqueAtAngle } from './torque-at-angle.ts';
import {
  lateRateOfTorqueDevelopment,
  peakRateOfTorqueDevelopment,
  rateOfTorqueDevelopment,
} from './torque-development.ts';
import { velocityOvershoot } from './velocity-overshoot.ts';
import type { Window } from './window.ts';
import { work } from './work.ts';

export const MEASURES = [
  rangeOfMotion,
  peakVelocity,
  peakTorque,
  peakTorqueTime,
  angleAtPeakTorque,
  timeToPeakTorque,
  work,
  meanPower,
  peakPower,
  impulse,
  meanTorque,
  rateOfTorqueDevelopment,
  lateRateOfTorqueDevelopment,
  peakRateOfTorqueDevelopment,
  rawPeakTorque,
  torqueAtAngle,
  meanVelocity,
  velocityOvershoot,
  timeToSpeed,
  brakingTime,
  peakTorquePerMass,
  workPerMass,
  meanPowerPerMass,
  bestMeanTorque,
  steadiness,
  stiffness,
] as const satisfies readonly Measure<string, MeasureValue>[];

type AnyMeasure = (typeof MEASURES)[number];

/** Every measure's own kind of value, or null. */
export type MeasuredValues = {
  readonly [M in AnyMeasure as M['id']]: ReturnType<M['of']> | null;
};

export function measureAll(window: Window): MeasuredValues {
  const entries = MEASURES.map((measure: Measure<string, MeasureValue>) => [
    measure.id,
    measured(measure, window),
  ]);
  // The list above is what the type is made from, so keys and kinds of values agree.
  return Object.fromEntries(entries) as MeasuredValues;
}
