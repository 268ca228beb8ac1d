/**
 * The four analog outputs of the simulated machine, and the wiring document that belongs to them.
 * Left and right are mirrored electrically, as on a machine whose head is turned round.
 */
import type { Side } from '../analysis-types.ts';
import type { ChannelFormat } from '../block/block.ts';
import type { Wiring } from '../wiring/schema.ts';
import { findRig, type Rig } from './rigs.ts';
import { COUNTS_PER_VOLT, LEAST_COUNT, MOST_COUNT, type Output } from './sensor.ts';

/** How far the machine and the effort are from perfect. Shares are of the torque full scale. */
export interface Imperfections {
  readonly torqueNoise: number;
  readonly torqueHum: number;
  readonly torqueDrift: number;
  /** Largest constant error of the torque zero; the seed says where below it. */
  readonly torqueBias: number;
  readonly angleNoise_deg: number;
  readonly velocityNoise_degps: number;
  /** Chance of an electrical single-sample spike in a torque sample. */
  readonly torqueSpikes: number;
  /** How much later than angle and velocity the torque output comes. */
  readonly torqueDelay_s: number;
  /** Shares of a full effort: slow wander, tremor, and from one repetition to the next. */
  readonly effortWander: number;
  readonly effortTremor: number;
  readonly effortVariation: number;
}

/** Sizes of a good machine and a willing subject (ranges from the trade, from memory). */
export const TYPICAL: Imperfections = {
  torqueNoise: 3e-4,
  torqueHum: 2e-4,
  torqueDrift: 4e-4,
  torqueBias: 6e-4,
  angleNoise_deg: 0.03,
  velocityNoise_degps: 0.4,
  torqueSpikes: 0,
  torqueDelay_s: 0,
  effortWander: 0.006,
  effortTremor: 0.0035,
  effortVariation: 0.015,
};

/** Nothing but physics and the converter's steps. */
export const PERFECT: Imperfections = {
  torqueNoise: 0,
  torqueHum: 0,
  torqueDrift: 0,
  torqueBias: 0,
  angleNoise_deg: 0,
  velocityNoise_degps: 0,
  torqueSpikes: 0,
  torqueDelay_s: 0,
  effortWander: 0,
  effortTremor: 0,
  effortVariation: 0,
};

const FULL_SCALE_V = 10;
/** Scales and zeros are uneven on purpose: a wiring that is left out must be seen. */
const DEGREES_PER_VOLT = 18;
const DEGPS_PER_VOLT = 50;
const TORQUE_ZERO_V = 0.0125;
const ANGLE_ZERO_V = 0.35;
const TRIGGER_V = 5;

export interface Outputs {
  readonly torque: Output;
  readonly angle: Output;
  readonly velocity: Output;
  /** 5 V while a repetition is under way, else 0 V. */
  readonly trigger: Output;
}

export function outputs(rig: Rig, side: Side, imperfections: Imperfections, bias: number): Outputs {
  const mirror = mirrorSign(side);
  const full_Nm = rig.fullScale_Nm;
  const still = { noise: 0, hum: 0, drift: 0, bias: 0, delay_s: 0, spikes: 0 };
  return {
    torque: {
      gain_V: (mirror * FULL_SCALE_V) / full_Nm,
      zero_V: TORQUE_ZERO_V,
      noise: imperfections.torqueNoise * full_Nm,
      hum: imperfections.torqueHum * full_Nm,
      drift: imperfections.torqueDrift * full_Nm,
      bias: imperfections.torqueBias * full_Nm * bias,
      delay_s: imperfections.torqueDelay_s,
      spikes: imperfections.torqueSpikes,
    },
    angle: {
      ...still,
      gain_V: mirror / DEGREES_PER_VOLT,
      zero_V: ANGLE_ZERO_V,
      noise: imperfections.angleNoise_deg,
    },
    velocity: {
      ...still,
      gain_V: mirror / DEGPS_PER_VOLT,
      zero_V: 0,
      noise: imperfections.velocityNoise_degps,
    },
    trigger: { ...still, gain_V: TRIGGER_V, zero_V: 0 },
  };
}

/** What the device announces: four channels of 16-bit counts. */
export const CHANNELS: readonly ChannelFormat[] = ['ai0', 'ai1', 'ai2', 'ai3'].map((name) => ({
  name,
  unit: 'counts',
  type: 'int16',
  rawMin: LEAST_COUNT,
  rawMax: MOST_COUNT,
}));

/** The wiring document of a simulated station, or null for a pattern without a rig. */
export function demoWiring(
  pattern: string,
  side: Side = 'right',
  station = 'North',
): Wiring | null {
  const rig = findRig(pattern);
  if (rig === null) return null;
  const { torque, angle, velocity } = outputs(rig, side, PERFECT, 0);
  const scale = ({ gain_V, zero_V }: Output) => ({
    slope: 1 / (COUNTS_PER_VOLT * Math.abs(gain_V)),
    offset: 0 - zero_V / Math.abs(gain_V),
    sign: gain_V < 0 ? (-1 as const) : (1 as const),
  });
  return {
    version: 1,
    station,
    time: 'sample',
    channels: [
      { channel: 'ai0', quantity: 'torque', unit: 'Nm', ...scale(torque) },
      { channel: 'ai1', quantity: 'angle', unit: 'deg', ...scale(angle) },
      { channel: 'ai2', quantity: 'velocity', unit: 'degps', ...scale(velocity) },
      { channel: 'ai3', quantity: 'trigger', unit: 'V', slope: 1 / COUNTS_PER_VOLT, offset: 0 },
    ],
    outputSettings: { torqueRange_Nm: rig.fullScale_Nm, pattern, side },
  };
}

function mirrorSign(side: Side): 1 | -1 {
  return side === 'left' ? -1 : 1;
}
