/**
 * Calibrating the torque channel with known masses, step by step: each load is hung on, the reading waits
 * until it is settled, and the line through all of them is judged. A load that was not what was written
 * down and one that swung are named. It stores nothing.
 */
import { type Acceptance, judgeCalibration, TORQUE_LIMITS } from '../calibration/acceptance.ts';
import { type CalibrationFit, type CalibrationPoint, fitCalibration } from '../calibration/fit.ts';
import { torqueOfMass } from '../calibration/known-mass.ts';
import { findSuspect } from '../calibration/suspect.ts';
import { createSettleWatch, type SettleWatch } from './settle.ts';

export interface CalibrationPlan {
  /** Masses in the order in which they are hung on, kg; numbered from 1. */
  readonly masses_kg: readonly number[];
  /** From the axis to the line of gravity of the hanger. */
  readonly arm_m: number;
  /** On the other side of the lever too. */
  readonly isBothWays: boolean;
  /** Largest torque that will be measured. */
  readonly toMeasure_Nm: number;
}

export interface Load {
  /** Number of the mass, from 1; 0 for none. */
  readonly number: number;
  readonly mass_kg: number;
  readonly turning: 1 | -1;
  readonly branch: 'loading' | 'unloading';
}

export interface Reading extends Load, CalibrationPoint {
  /** How far the load swung before it was read, N·m; 0 when it hung still. */
  readonly swung_Nm: number;
}

export interface CalibrationView {
  readonly plan: CalibrationPlan;
  /** All loads in their order; those before `readings.length` were read. */
  readonly loads: readonly Load[];
  readonly readings: readonly Reading[];
  /** Numbers of masses whose readings are left out. */
  readonly excluded: readonly number[];
  /** By the line so far, else by the wiring in use; NaN while unknown becomes null. */
  readonly live_Nm: number | null;
  readonly swing_Nm: number | null;
  readonly isSettled: boolean;
  /** Seconds since the reading was asked for; null when none is. */
  readonly waiting_s: number | null;
  /** Why the last reading was not taken; empty when it was. */
  readonly problem: string;
  readonly fit: CalibrationFit | null;
  /** Readings of the fit, in the order of its residuals. */
  readonly used: readonly number[];
  readonly acceptance: Acceptance | null;
  /** What was found, one sentence each: swinging loads and loads that are not what was written down. */
  readonly named: readonly string[];
}

export interface CalibrationRun {
  readonly view: CalibrationView;
  /** Raw samples of the channel. */
  push(values: ArrayLike<number>, n: number, rate_Hz: number): void;
  /** The next load hangs: read it when it is settled. Why not, or null. */
  read(): string | null;
  /** Takes the last reading back. */
  back(): void;
  /** What the mass of this number really is, or that it is left out. */
  restate(number: number, mass_kg: number): string | null;
  exclude(number: number, isOut: boolean): void;
}

/** A load that swings longer than this is taken down and hung on again. */
const LONGEST_WAIT_S = 30;
/** Suspects that are looked for one after the other. */
const MOST_SUSPECTS = 3;

/** What is wrong with a plan, in words; empty when nothing is. */
export function planTrouble({ masses_kg, arm_m, toMeasure_Nm }: CalibrationPlan): string {
  if (masses_kg.length < 3) return 'At least three masses are needed for a line and its scatter.';
  if (masses_kg.some((mass) => !(mass > 0 && mass <= 500)))
    return 'A mass lies above 0 and below 500 kg.';
  if (masses_kg.some((mass, k) => k > 0 && mass <= (masses_kg[k - 1] ?? 0))) {
    return 'The masses must rise: the lightest first, each heavier than the one before.';
  }
  if (!(arm_m > 0.02 && arm_m < 3)) return 'The arm lies between 0.02 and 3 m.';
  return toMeasure_Nm > 0 ? '' : 'State the largest torque that will be measured.';
}

export function loadsOf({ masses_kg, isBothWays }: CalibrationPlan): readonly Load[] {
  const up = masses_kg.map((mass_kg, k) => ({ number: k + 1, mass_kg }));
  const down = [...up].reverse().slice(1);
  const none = { number: 0, mass_kg: 0 };
  const once = (turning: 1 | -1): Load[] => [
    ...up.map((load) => ({ ...load, turning, branch: 'loading' as const })),
    ...[...down, none].map((load) => ({ ...load, turning, branch: 'unloading' as const })),
  ];
  return [{ ...none, turning: 1, branch: 'loading' }, ...once(1), ...(isBothWays ? once(-1) : [])];
}

/** `guess` stands in for the line until there is one. */
export function createCalibrationRun(plan: CalibrationPlan, guess: Line): CalibrationRun {
  const loads = loadsOf(plan);
  const masses = [...plan.masses_kg];
  const watch = createSettleWatch();
  let readings: readonly Reading[] = [];
  let excluded: readonly number[] = [];
  let waiting: { s: number; swing: number } | null = null;
  let problem = '';
  let judged = judge(readings, excluded, plan);

  const line = (): Line => judged.fit ?? guess;
  const asStated = (load: Load): Load =>
    load.number === 0 ? load : { ...load, mass_kg: masses[load.number - 1] ?? load.mass_kg };
  const settle = (): void => {
    judged = judge(readings, excluded, plan);
  };
  const span = (): number => {
    const outputs = readings.map(({ output }) => output);
    return outputs.length < 2 ? 0 : Math.max(...outputs) - Math.min(...outputs);
  };
  const take = (): void => {
    const load = loads[readings.length];
    if (!load || !waiting) return;
    const swung_Nm = waiting.swing * Math.abs(line().slope);
    readings = [...readings, readingOf(asStated(load), watch.mean, swung_Nm, plan.arm_m)];
    waiting = null;
    watch.restart();
    settle();
  };

  return {
    get view() {
      const waiting_s = waiting?.s ?? null;
      const known = { plan, readings, excluded, waiting_s, problem, ...judged };
      return { ...known, loads: loads.map(asStated), ...liveOf(watch, line()) };
    },
    push(values, n, rate_Hz) {
      watch.push(values, n, rate_Hz, span());
      if (!waiting) return;
      waiting.s += n / rate_Hz;
      if (!watch.isSettled && Number.isFinite(watch.swing)) {
        waiting.swing = Math.max(waiting.swing, watch.swing);
      }
      if (watch.isSettled) take();
      else if (waiting.s > LONGEST_WAIT_S) {
        waiting = null;
        problem = `No settled reading within ${LONGEST_WAIT_S} s. Take the load down, hang it on again gently.`;
      }
    },
    read() {
      if (readings.length >= loads.length) return 'All loads were read.';
      problem = '';
      watch.restart();
      waiting ??= { s: 0, swing: 0 };
      return null;
    },
    back() {
      waiting = null;
      problem = '';
      readings = readings.slice(0, -1);
      settle();
    },
    restate(number, mass_kg) {
      if (!(mass_kg > 0) || number < 1 || number > masses.length) return 'There is no such mass.';
      masses[number - 1] = mass_kg;
      readings = readings.map((reading) =>
        reading.number === number
          ? readingOf({ ...reading, mass_kg }, reading.output, reading.swung_Nm, plan.arm_m)
          : reading,
      );
      settle();
      return null;
    },
    exclude(number, isOut) {
      excluded = isOut
        ? [...new Set([...excluded, number])]
        : excluded.filter((other) => other !== number);
      settle();
    },
  };
}

/** Units for one raw unit, and the reading at raw 0. */
interface Line {
  readonly slope: number;
  readonly offset: number;
}

type Live = Pick<CalibrationView, 'live_Nm' | 'swing_Nm' | 'isSettled'>;

function liveOf({ mean, swing, isSettled }: SettleWatch, { slope, offset }: Line): Live {
  if (!Number.isFinite(mean)) return { live_Nm: null, swing_Nm: null, isSettled };
  return { live_Nm: slope * mean + offset, swing_Nm: Math.abs(slope) * swing, isSettled };
}

function readingOf(load: Load, output: number, swung_Nm: number, arm_m: number): Reading {
  const { mass_kg, turning, number, branch } = load;
  const reference = torqueOfMass({ mass_kg, arm_m, turning });
  return { number, mass_kg, turning, branch, output, reference: reference + 0, swung_Nm };
}

type Judged = Pick<CalibrationView, 'fit' | 'used' | 'acceptance' | 'named'>;

function judge(
  readings: readonly Reading[],
  excluded: readonly number[],
  plan: CalibrationPlan,
): Judged {
  const used = readings
    .map((_, k) => k)
    .filter((k) => !excluded.includes(readings[k]?.number ?? 0));
  const points = used.flatMap((k) => readings[k] ?? []);
  const fit = points.length < 3 ? null : fitCalibration(points);
  const limits = { ...TORQUE_LIMITS, bothDirections: plan.isBothWays };
  return {
    fit,
    used,
    acceptance: fit === null ? null : judgeCalibration(points, fit, plan.toMeasure_Nm, limits),
    named: [...swinging(points), ...misstated(points, fit, limits.residual)],
  };
}

/** Each mass once, by its largest swing. */
function swinging(points: readonly Reading[]): string[] {
  const largest = new Map<number, Reading>();
  for (const point of points) {
    if (point.number === 0 || point.swung_Nm <= (largest.get(point.number)?.swung_Nm ?? 0))
      continue;
    largest.set(point.number, point);
  }
  return [...largest.values()].map(
    ({ number, mass_kg, swung_Nm }) =>
      `Mass ${number} (${mass_kg} kg) swung by ${swung_Nm.toFixed(1)} N·m; it was read when it hung still.`,
  );
}

/** One suspect hides another: each is looked for without those before it. */
function misstated(
  points: readonly Reading[],
  fit: CalibrationFit | null,
  limit_Nm: number,
): string[] {
  if (fit === null || Math.max(...fit.residuals.map(Math.abs)) <= limit_Nm) return [];
  const words: string[] = [];
  let left = points;
  for (let k = 0; k < MOST_SUSPECTS; k += 1) {
    const suspect = findSuspect(left);
    const point = suspect && left[suspect.points[0] ?? 0];
    if (!suspect || !point || point.number === 0) return words;
    const { number, mass_kg, reference } = point;
    const real_kg = reference === 0 ? 0 : (mass_kg * suspect.byOthers) / reference;
    words.push(
      `Mass ${number} is stated as ${mass_kg} kg; the others make it ${real_kg.toFixed(2)} kg on every reading. ` +
        'Weigh it again, or leave it out.',
    );
    left = left.filter((other) => other.number !== number);
  }
  return words;
}
