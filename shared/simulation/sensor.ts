/**
 * The electrical way out of the machine: torque, angle and velocity become volts with their noise,
 * hum, drift and offset, and the volts become counts of a 16-bit converter of +-10 V.
 */
import type { Random } from './random.ts';

/** One output of the machine: `value = slope * counts + offset` undoes it. */
export interface Output {
  /** Volts for one unit of the quantity; negative where the machine is mirrored. */
  readonly gain_V: number;
  readonly zero_V: number;
  /** Standard deviation of white noise, in the quantity's unit. */
  readonly noise: number;
  /** Amplitude of mains hum, in the quantity's unit. */
  readonly hum: number;
  /** Standard deviation of the slow drift of zero, in the quantity's unit. */
  readonly drift: number;
  /** Constant error of zero, in the quantity's unit. */
  readonly bias: number;
  /** Lag of the machine's output electronics, seconds. */
  readonly delay_s: number;
  /** Chance that a sample is an electrical spike. */
  readonly spikes: number;
}

export const COUNTS_PER_VOLT = 32768 / 10;
export const LEAST_COUNT = -32768;
export const MOST_COUNT = 32767;

const MAINS_HZ = 50;
/** 0.1 Nm a minute is a usual drift: a wander that forgets in ten minutes keeps it bounded. */
const DRIFT_S = 600;
const SPIKE_LEAST_V = 1;
const SPIKE_SPREAD_V = 4;

/** Turns the true value at one sample into counts. Called once a sample, in order. */
export type Converter = (value: number) => number;

export function createConverter(output: Output, random: Random, rate_Hz: number): Converter {
  const { gain_V, zero_V, noise, hum, drift, bias, spikes } = output;
  const keep = Math.exp(-1 / (rate_Hz * DRIFT_S));
  const fresh = Math.sqrt(1 - keep * keep);
  const phase = 2 * Math.PI * random.uniform();
  const turn = (2 * Math.PI * MAINS_HZ) / rate_Hz;
  let wander = 0;
  let sample = 0;
  return (value) => {
    wander = keep * wander + fresh * random.gauss();
    const error =
      noise * random.gauss() + hum * Math.sin(turn * sample + phase) + drift * wander + bias;
    sample++;
    let volts = (value + error) * gain_V + zero_V;
    if (random.uniform() < spikes) {
      const sign = random.uniform() < 0.5 ? -1 : 1;
      volts += sign * (SPIKE_LEAST_V + SPIKE_SPREAD_V * random.uniform());
    }
    // Adding 0 turns -0, which no converter gives, into 0.
    return Math.max(LEAST_COUNT, Math.min(MOST_COUNT, Math.round(volts * COUNTS_PER_VOLT) + 0));
  };
}

/** Holds values back by a whole number of steps; the first value stands for those before it. */
export function createDelay(steps: number): (value: number) => number {
  if (steps === 0) return (value) => value;
  const ring = new Float64Array(steps);
  let at = -1;
  return (value) => {
    if (at < 0) {
      ring.fill(value);
      at = 0;
    }
    const late = ring[at] ?? value;
    ring[at] = value;
    at = (at + 1) % steps;
    return late;
  };
}
