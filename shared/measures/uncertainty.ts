/**
 * Standard uncertainty of measures by named contributions: each is put into the columns as it would be
 * there, the measure taken again, and the difference is its share (numerical sensitivities, GUM 5.1.3).
 */
import type { Conditions } from '../analysis-types.ts';
import { weightAt } from '../gravity/remove.ts';
import { finiteOrNull, largestAt, type Window } from './window.ts';
import { angleAtPeakTorque } from './angle-at-peak-torque.ts';
import { impulse } from './impulse.ts';
import { meanPower } from './mean-power.ts';
import { meanTorque } from './mean-torque.ts';
import { peakPower } from './peak-power.ts';
import { peakTorque } from './peak-torque.ts';
import { peakVelocity } from './peak-velocity.ts';
import { rangeOfMotion } from './range-of-motion.ts';
import { measured } from './measure.ts';
import { work } from './work.ts';

/** What is known about the inputs, as standard uncertainties; what is left out is not known. */
export interface InputUncertainty {
  /** Slope of the torque calibration, percent. */
  readonly torqueScale_pct?: number;
  /** Zero of the torque calibration, Nm. */
  readonly torqueZero_Nm?: number;
  /** Slope of the angle calibration, percent. */
  readonly angleScale_pct?: number;
  /** Drift of the tare over the test, Nm. */
  readonly tareDrift_Nm?: number;
  /** Amplitude of the weight that was removed, Nm. */
  readonly weight_Nm?: number;
  /** Delay between the torque and angle channels, milliseconds. */
  readonly delay_ms?: number;
}

export const CONTRIBUTIONS = ['calibration', 'tareDrift', 'weightFit', 'delay', 'noise'] as const;
export type Contribution = (typeof CONTRIBUTIONS)[number];

export interface Uncertainty {
  /** Root of the sum of squares of what is known. */
  readonly standard: number;
  /** In the unit of the measure, not negative; null where nothing is known. */
  readonly contributions: Readonly<Record<Contribution, number | null>>;
}

/** Measures that carry an uncertainty: those that people compare. */
const MEASURES = [
  peakTorque,
  angleAtPeakTorque,
  rangeOfMotion,
  work,
  meanPower,
  peakPower,
  impulse,
  meanTorque,
] as const;

export type UncertainId = (typeof MEASURES)[number]['id'];

/** By measure; measures that are null in this phase are left out. */
export function uncertaintiesOf(
  window: Window,
  known: InputUncertainty,
  gravity: Conditions['gravity'],
): Readonly<Partial<Record<UncertainId, Uncertainty>>> {
  const changed = changedWindows(window, known, gravity);
  const noise_Nm = noiseOf(window);
  const entries = MEASURES.flatMap((measure) => {
    const value = measured(measure, window);
    if (value === null) return [];
    const share = (windows: readonly Window[]) =>
      windows.length === 0
        ? null
        : finiteOrNull(
            Math.hypot(...windows.map((one) => (measured(measure, one) ?? value) - value)),
          );
    const contributions: Uncertainty['contributions'] = {
      calibration: share(changed.calibration),
      tareDrift: share(changed.tareDrift),
      weightFit: share(changed.weightFit),
      delay: share(changed.delay),
      noise: NOISE[measure.id](window, noise_Nm),
    };
    const standard = Math.hypot(...Object.values(contributions).map((one) => one ?? 0));
    return [[measure.id, { standard, contributions }] as const];
  });
  return Object.fromEntries(entries);
}

type Changed = Readonly<Record<Exclude<Contribution, 'noise'>, readonly Window[]>>;

function changedWindows(
  window: Window,
  known: InputUncertainty,
  gravity: Conditions['gravity'],
): Changed {
  const { torqueScale_pct, torqueZero_Nm, angleScale_pct, tareDrift_Nm, weight_Nm } = known;
  const calibration: Window[] = [];
  if (torqueScale_pct !== undefined) {
    calibration.push(withTorque(window, (torque) => torque * (1 + torqueScale_pct / 100)));
  }
  if (torqueZero_Nm !== undefined) {
    calibration.push(withTorque(window, (torque) => torque + torqueZero_Nm));
  }
  if (angleScale_pct !== undefined) calibration.push(withAngle(window, 1 + angleScale_pct / 100));
  const { angle_deg } = window;
  const isSinusoid = gravity?.kind === 'sinusoid';
  const weightFit =
    weight_Nm === undefined || !isSinusoid || angle_deg === null
      ? []
      : [
          withTorque(window, (torque, i) => {
            const unit = { ...gravity, amplitude_Nm: weight_Nm, offset_Nm: 0 };
            return torque - window.effort * weightAt(unit, angle_deg[i]);
          }),
        ];
  return {
    calibration,
    tareDrift:
      tareDrift_Nm === undefined ? [] : [withTorque(window, (torque) => torque + tareDrift_Nm)],
    weightFit,
    delay: known.delay_ms === undefined ? [] : [delayed(window, known.delay_ms)],
  };
}

function withTorque(window: Window, change: (torque: number, i: number) => number): Window {
  const torque_Nm = window.torque_Nm.map(change);
  const isOne = window.peakable_Nm === window.torque_Nm;
  const peakable_Nm = isOne ? torque_Nm : window.peakable_Nm.map(change);
  return { ...window, torque_Nm, peakable_Nm, peak: largestAt(peakable_Nm, window) };
}

function withAngle(window: Window, factor: number): Window {
  const { angle_deg, velocity_degps } = window;
  const times = (column: Float64Array | null) => column?.map((value) => value * factor) ?? null;
  return { ...window, angle_deg: times(angle_deg), velocity_degps: times(velocity_degps) };
}

/** Torque from a little later, by straight lines; the last samples repeat. */
function delayed(window: Window, delay_ms: number): Window {
  const shift = (delay_ms / 1000) * window.rate_Hz;
  const later = (column: Float64Array) =>
    column.map((_, i) => {
      const at = Math.min(column.length - 1, i + shift);
      const left = Math.floor(at);
      const right = Math.min(column.length - 1, left + 1);
      return column[left] + (at - left) * (column[right] - column[left]);
    });
  const torque_Nm = later(window.torque_Nm);
  const peakable_Nm = later(window.peakable_Nm);
  return { ...window, torque_Nm, peakable_Nm, peak: largestAt(peakable_Nm, window) };
}

/** Residuals looked at for the noise: enough for a median. */
const MOST_RESIDUALS = 500;
/** Median absolute deviation to standard deviation of a Gaussian (Hampel 1974). */
const SD_OF_MAD = 1.4826;
/**
 * Noise bandwidth of the corrected two-pass filter over its cut-off: the integral of 1 / (1 + x^4)^2 is
 * 3 pi / (8 sqrt 2); the cut-off of one pass is 1 / 0.8022 of it.
 */
const NOISE_BANDWIDTH = (3 * Math.PI) / (8 * Math.SQRT2) / 0.8022432629;

/** Robust SD of what smoothing took away, per sample; NaN where nothing was smoothed. */
function noiseOf({ torque_Nm, unfiltered_Nm, effort, first, end, recipe }: Window): number {
  if (recipe.conditioning.torqueLowpass_Hz === null || end - first < 3) return Number.NaN;
  const stride = Math.max(1, Math.floor((end - first) / MOST_RESIDUALS));
  const residuals: number[] = [];
  for (let i = first; i < end; i += stride) {
    const residual = Math.abs(effort * unfiltered_Nm[i] - torque_Nm[i]);
    if (residual === residual) residuals.push(residual);
  }
  residuals.sort((a, b) => a - b);
  return SD_OF_MAD * (residuals[residuals.length >> 1] ?? Number.NaN);
}

type NoiseShare = (window: Window, noise_Nm: number) => number | null;

/** White noise through a smoothed sample, and through integrals; null where it is no small change. */
const NOISE: Readonly<Record<UncertainId, NoiseShare>> = {
  peakTorque_Nm: (window, noise_Nm) => finiteOrNull(smoothed(window, noise_Nm)),
  angleAtPeakTorque_deg: () => null,
  rangeOfMotion_deg: () => null,
  work_J: (window, noise_Nm) => finiteOrNull(throughWork(window, noise_Nm)),
  meanPower_W: (window, noise_Nm) =>
    finiteOrNull(throughWork(window, noise_Nm) / durationOf(window)),
  peakPower_W: (window, noise_Nm) =>
    finiteOrNull((smoothed(window, noise_Nm) * (peakVelocity.of(window) ?? NaN) * Math.PI) / 180),
  impulse_Nms: (window, noise_Nm) => finiteOrNull(throughTime(window, noise_Nm)),
  meanTorque_Nm: (window, noise_Nm) =>
    window.action === 'isometric'
      ? finiteOrNull(throughTime(window, noise_Nm) / durationOf(window))
      : finiteOrNull(
          throughWork(window, noise_Nm) / (((rangeOfMotion.of(window) ?? NaN) * Math.PI) / 180),
        ),
};

function smoothed({ recipe, rate_Hz }: Window, noise_Nm: number): number {
  const cutOff_Hz = recipe.conditioning.torqueLowpass_Hz ?? rate_Hz / 2;
  return noise_Nm * Math.sqrt(Math.min(1, (2 * NOISE_BANDWIDTH * cutOff_Hz) / rate_Hz));
}

function throughWork({ angle_deg, first, end }: Window, noise_Nm: number): number {
  if (angle_deg === null) return Number.NaN;
  let squares = 0;
  for (let i = first + 1; i < end; i += 1) squares += (angle_deg[i] - angle_deg[i - 1]) ** 2 || 0;
  return (noise_Nm * Math.sqrt(squares) * Math.PI) / 180;
}

function throughTime(window: Window, noise_Nm: number): number {
  return noise_Nm * Math.sqrt(durationOf(window) / window.rate_Hz);
}

function durationOf({ time_s, first, end }: Window): number {
  return time_s[end - 1] - time_s[first];
}
