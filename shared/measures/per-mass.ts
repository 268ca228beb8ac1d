import { EVERY, MOVING, type Measure } from './measure.ts';
import { meanPower } from './mean-power.ts';
import { peakTorque } from './peak-torque.ts';
import type { Window } from './window.ts';
import { work } from './work.ts';

const NORMALISED = {
  source: 'usual definition; never per body weight',
  check: 'analytic-repetition',
} as const;

function perMass(value: number | null, { bodyMass_kg }: Window): number | null {
  return value === null || bodyMass_kg === null ? null : value / bodyMass_kg;
}

export const peakTorquePerMass = {
  id: 'peakTorquePerMass_Nmpkg',
  name: 'Peak torque per body mass',
  unit: 'Nm/kg',
  formula: 'peak torque / body mass',
  ...NORMALISED,
  actions: EVERY,
  of: (window: Window) => perMass(peakTorque.of(window), window),
} as const satisfies Measure<string, number | null>;

export const workPerMass = {
  id: 'workPerMass_Jpkg',
  name: 'Work per body mass',
  unit: 'J/kg',
  formula: 'work / body mass',
  ...NORMALISED,
  actions: MOVING,
  of: (window: Window) => perMass(work.of(window), window),
} as const satisfies Measure<string, number | null>;

export const meanPowerPerMass = {
  id: 'meanPowerPerMass_Wpkg',
  name: 'Mean power per body mass',
  unit: 'W/kg',
  formula: 'mean power / body mass',
  ...NORMALISED,
  actions: MOVING,
  of: (window: Window) => perMass(meanPower.of(window), window),
} as const satisfies Measure<string, number | null>;
