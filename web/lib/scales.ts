/**
 * Scales that stand for the whole set, from what is being tested, and the round numbers on them.
 * A limit always lies inside the drawn scale.
 */
import type { Setup } from '../../shared/wire/events.ts';
import type { Scales } from './geometry.ts';

/** Part of the range that is left free beyond a limit, so that passing it can be seen. */
const ROOM = 0.14;
/** Velocity panel when nothing is set to move: enough to see the limb drift. */
const LEAST_VELOCITY_DEGPS = 30;

/** What is printed on the paper: limits are drawn where they are known. */
export interface Ruling {
  readonly range_deg: readonly [number, number] | null;
  readonly torqueLimit_Nm: number | null;
  /** 0 where the limb is not meant to move. */
  readonly speed_degps: number;
  readonly length_s: number;
}

export function rulingFor(setup: Setup): Ruling {
  return {
    range_deg: setup.rangeLimits_deg,
    torqueLimit_Nm: setup.torqueLimit_Nm,
    speed_degps: setup.mode === 'isometric' ? 0 : setup.speed_degps,
    length_s: setup.sheet_s,
  };
}

export function scalesFor(setup: Setup): Scales {
  const [least, most] = setup.rangeLimits_deg;
  const room = Math.max(4, (most - least) * ROOM);
  const speed = Math.max(LEAST_VELOCITY_DEGPS, Math.abs(setup.speed_degps)) * 1.3;
  const [low, high] = setup.torqueScale_Nm;
  const pad = (high - low) * 0.04;
  return {
    torque: [low - pad, high + pad],
    angle: [least - room, most + room],
    velocity: [-speed, speed],
  };
}

/** Round steps from `min` to `max`: at most `most` of them, always through zero where it is inside. */
export function roundTicks(min: number, max: number, most: number): number[] {
  const span = max - min;
  if (!(span > 0) || most < 1) return [];
  const rough = span / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 2.5, 4, 5, 10].map((m) => m * power).find((s) => s >= rough) ?? 10 * power;
  const ticks: number[] = [];
  for (let k = Math.ceil(min / step); k * step <= max + step * 1e-9; k += 1) ticks.push(k * step);
  return ticks;
}

const TIME_STEPS = [
  0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600,
  1800,
];

export interface TimeTicks {
  readonly times_s: readonly number[];
  /** Decimals that tell them apart. */
  readonly digits: number;
}

/** Whole multiples of a round step from `start_s` on, at most `most` steps. */
export function timeTicks(start_s: number, length_s: number, most: number): TimeTicks {
  const step = TIME_STEPS.find((s) => length_s / s <= most) ?? 3600;
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const first = Math.ceil(start_s / step - 1e-6) + 0;
  const times_s: number[] = [];
  for (let k = first; k * step <= start_s + length_s + step * 1e-6; k += 1) times_s.push(k * step);
  return { times_s, digits };
}
