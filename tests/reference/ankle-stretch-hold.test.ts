/**
 * Outside check: a real ankle on a motorised dynamometer (Tecchio et al., J Appl Physiol, open data),
 * numbers by scipy 1.10.1 as PROVENANCE.md states, the authors' own filter, and our default recipe.
 */
import { describe, expect, it } from 'vitest';
import { analyze, recipeFor } from '../../shared/analysis.ts';
import type { Conditions, Phase, Signal } from '../../shared/analysis-types.ts';
import { gradient } from '../../shared/dsp/derivative.ts';
import type { Gravity } from '../../shared/gravity/gravity.ts';
import { integral } from '../../shared/measures/integral.ts';
import { work } from '../../shared/measures/work.ts';
import { lowpass } from '../../shared/segmentation/lowpass.ts';
import { drivenSpeed, loadRangeOf } from '../../shared/segmentation/load-range.ts';
import { largestAt } from '../../shared/measures/window.ts';
import { momentsOf } from '../../shared/statistics/moments.ts';
import { DEFAULT_RECIPE } from '../../shared/recipe/presets.ts';
import { changedRecipe } from '../../shared/recipe/recipe.ts';
import { hasReferenceData, referenceColumns } from '../support/reference-data.ts';
import { phaseWindow } from '../support/phase-window.ts';
import { halfUnit, lowPassed, referenceJson } from '../support/stated-method.ts';

const FOLDER = 'ankle-stretch-hold';
const RATE_HZ = 2000;

interface Rotation {
  readonly angle_lowpass_hz: number;
  readonly moving_threshold_deg_s: number;
  readonly start_index: number;
  readonly end_index: number;
  readonly rom_deg: number;
  readonly nominal_velocity_deg_s: number;
  readonly constant_velocity_start_index: number;
  readonly constant_velocity_end_index: number;
  readonly work_measured_torque_J: number;
  readonly work_net_torque_J: number;
  readonly peak_net_torque_in_rotation_Nm: number;
}

interface Trial {
  readonly lp12_peak_torque_Nm?: number;
  readonly lp12_peak_index: number;
  readonly net_peak_torque_Nm: number;
  readonly net_peak_index: number;
  readonly rotation?: Rotation;
  readonly authors_window?: {
    readonly crop_start_index: number;
    readonly crop_end_index: number;
    readonly window_first_index_in_file: number;
    readonly window_last_index_in_file: number;
    readonly net_torque_mean_Nm: number;
  };
}

interface Reference {
  readonly passive_static_points: readonly {
    readonly angle_deg: number;
    readonly torque_Nm: number;
  }[];
  readonly passive_cubic_coefficients_highest_first: readonly number[];
  readonly trials: Readonly<Record<string, Trial>>;
}

const reference: Reference | null = hasReferenceData()
  ? (referenceJson(FOLDER, 'reference.json') as Reference)
  : null;
const trials = Object.entries(reference?.trials ?? {});
const [c3 = 0, c2 = 0, c1 = 0, c0 = 0] = reference?.passive_cubic_coefficients_highest_first ?? [];

/** The cubic through the six static holds, of the raw angle. */
function passive_Nm(angle: number): number {
  return ((c3 * angle + c2) * angle + c1) * angle + c0;
}

function columns(name: string) {
  const { torque_Nm, angle_deg } = referenceColumns(FOLDER, `${name}.csv.gz`);
  return { torque: torque_Nm ?? new Float64Array(), angle: angle_deg ?? new Float64Array() };
}

describe.runIf(hasReferenceData())('ankle-stretch-hold', () => {
  const withPeak = trials.filter(([, trial]) => trial.lp12_peak_torque_Nm !== undefined);

  it.each(withPeak)('%s: peaks by the stated method', (name, trial) => {
    const { torque, angle } = columns(name);
    const lp12 = lowPassed(torque, 12, RATE_HZ);
    const angle12 = lowPassed(angle, 12, RATE_HZ);
    const at = indexOfLargest(lp12);
    expect(at).toBe(trial.lp12_peak_index);
    expect(Math.abs(lp12[at] - (trial.lp12_peak_torque_Nm ?? 0))).toBeLessThan(halfUnit(4));
    const net = lp12.map((value, i) => value - passive_Nm(angle12[i]));
    const netAt = indexOfLargest(net);
    expect(netAt).toBe(trial.net_peak_index);
    // The cubic's coefficients are printed to nine digits: 1e-6 Nm.
    expect(Math.abs(net[netAt] - trial.net_peak_torque_Nm)).toBeLessThan(halfUnit(4) + 1e-5);
  });

  const turning = trials.filter(([, trial]) => trial.rotation !== undefined);

  it.each(turning)('%s: the rotation by the stated method', (name, { rotation }) => {
    if (!rotation) throw new Error('no rotation');
    const { torque, angle } = columns(name);
    const cutOff_Hz = rotation.angle_lowpass_hz;
    const angle_deg = lowPassed(angle, cutOff_Hz, RATE_HZ);
    const velocity_degps = gradient(angle_deg, RATE_HZ);
    const first = rotation.start_index;
    const end = rotation.end_index + 1;
    const sign = angle_deg[end] > angle_deg[first] ? 1 : -1;
    const isMoving = (i: number) => sign * velocity_degps[i] > rotation.moving_threshold_deg_s;
    expect([isMoving(first - 1), isMoving(first), isMoving(end - 1), isMoving(end)]).toEqual([
      false,
      true,
      true,
      false,
    ]);
    const travelled = Math.abs(angle_deg[end - 1] - angle_deg[first]);
    expect(Math.abs(travelled - rotation.rom_deg)).toBeLessThan(halfUnit(3));
    const motion = {
      rate_Hz: RATE_HZ,
      time_s: torque.map((_, i) => i / RATE_HZ),
      angle_deg,
      velocity_degps,
      stretches: [{ first: 0, end: torque.length }],
      unevenness: 0,
    };
    const movement = { first, end, sign, isInterrupted: false, isCut: false } as const;
    const { median_degps } = drivenSpeed(motion, movement);
    const nominal = Math.abs(rotation.nominal_velocity_deg_s);
    expect(Math.abs(median_degps - nominal)).toBeLessThan(halfUnit(3));
    const recipe = changedRecipe(DEFAULT_RECIPE, 'as stated', {
      loadRange: { noise_factor: 0, bridge_ms: 0, dropEntry_ms: 0 },
    });
    const constant = loadRangeOf(motion, movement, median_degps, 0, recipe);
    expect(constant?.span.first).toBe(rotation.constant_velocity_start_index);
    expect((constant?.span.end ?? 0) - 1).toBe(rotation.constant_velocity_end_index);
    const lp12 = lowPassed(torque, 12, RATE_HZ);
    const net = lp12.map((value, i) => value - passive_Nm(angle_deg[i]));
    const netWork = integral(net, angle_deg, { first, end }) * (Math.PI / 180);
    const readWork = integral(lp12, angle_deg, { first, end }) * (Math.PI / 180);
    expect(Math.abs(readWork - rotation.work_measured_torque_J)).toBeLessThan(halfUnit(4) + 1e-5);
    expect(Math.abs(netWork - rotation.work_net_torque_J)).toBeLessThan(halfUnit(4) + 1e-5);
    const window = phaseWindow({ rate_Hz: RATE_HZ, torque_Nm: lp12, angle_deg, first, end });
    const byMeasure = (work.of(window) ?? 0) - Math.abs(rotation.work_measured_torque_J);
    expect(Math.abs(byMeasure)).toBeLessThan(halfUnit(4) + 1e-5);
  });

  const held = trials.filter(([, trial]) => trial.authors_window !== undefined);

  it.each(held)('%s: held torque by the authors’ filter, corrected to 12 Hz', (name, trial) => {
    const own = trial.authors_window;
    if (!own) throw new Error('no window');
    const { torque, angle } = columns(name);
    const crop = (x: Float64Array) => x.slice(own.crop_start_index, own.crop_end_index + 1);
    const corrected = (x: Float64Array) => {
      const out = new Float64Array(x.length);
      const time_s = x.map((_, i) => i / RATE_HZ);
      const spans = [{ first: 0, end: x.length }];
      lowpass(
        x,
        time_s,
        spans,
        { rate_Hz: RATE_HZ, cutOff_Hz: 12, dualPass: 'corrected', unevenness: 0 },
        out,
      );
      return out;
    };
    const angle12 = corrected(crop(angle));
    const net = corrected(crop(torque)).map((value, i) => value - passive_Nm(angle12[i]));
    const from = own.window_first_index_in_file - own.crop_start_index;
    const to = own.window_last_index_in_file - own.crop_start_index + 1;
    const { mean } = momentsOf(net.subarray(from, to));
    // They pad the ends of filtfilt otherwise and design an order of four; a held second hardly feels it.
    expect(Math.abs(mean - own.net_torque_mean_Nm)).toBeLessThan(halfUnit(3));
  });
});

describe.runIf(hasReferenceData())('ankle-stretch-hold by the default recipe', () => {
  /** Angle turned so that dorsiflexion, the sign of torque, is rising: `--sign angle=-1`. */
  function signalOf(name: string): Signal {
    const { torque, angle } = columns(name);
    return {
      rate_Hz: RATE_HZ,
      time_s: torque.map((_, i) => i / RATE_HZ),
      torque_Nm: torque,
      angle_deg: angle.map((value) => -value),
      velocity_degps: null,
      flags: [],
    };
  }

  function phasesOf(name: string, conditions: Conditions): readonly Phase[] {
    const signal = signalOf(name);
    return analyze(signal, conditions, recipeFor(signal, conditions)).phases;
  }

  /** The static holds as a curve of the turned angle. */
  const curve: Gravity = {
    kind: 'curve',
    angle_deg: (reference?.passive_static_points ?? [])
      .map(({ angle_deg }) => -angle_deg)
      .reverse(),
    torque_Nm: (reference?.passive_static_points ?? []).map(({ torque_Nm }) => torque_Nm).reverse(),
  };

  const pattern = 'ankle-plantarflexion-dorsiflexion';

  it.each(['PL_0_01', 'PL_50_01', 'PL_100_01'])('%s is one braking repetition', (name) => {
    const [phase, ...others] = phasesOf(name, { pattern });
    expect(others).toEqual([]);
    expect(phase).toMatchObject({
      direction: 'plantarflexion',
      effort: 'dorsiflexion',
      action: 'eccentric',
      counts: true,
    });
    const rotation = reference?.trials[name]?.rotation;
    expect(Math.abs((phase?.rangeOfMotion_deg ?? 0) - (rotation?.rom_deg ?? 0))).toBeLessThan(0.1);
    // 15 Hz corrected instead of 12 uncorrected, and edges where rest begins.
    const relative = (phase?.work_J ?? 0) / (rotation?.work_measured_torque_J ?? 1);
    expect(Math.abs(relative - 1)).toBeLessThan(0.01);
    expect(phase?.start_s).toBeCloseTo((rotation?.start_index ?? 0) / RATE_HZ, 1);
    expect(phase?.end_s).toBeCloseTo((rotation?.end_index ?? 0) / RATE_HZ, 1);
  });

  it.each(['PL_0_01', 'PL_50_01'])('%s: net of the passive curve of the static holds', (name) => {
    const [phase] = phasesOf(name, { pattern, gravity: curve });
    const rotation = reference?.trials[name]?.rotation;
    // A monotone curve through the holds instead of their cubic: up to 0.5 Nm apart between them, and
    // the filters differ: 2 % of the peak, 3 % of the work.
    const peak = (phase?.peakTorque_Nm ?? 0) / (rotation?.peak_net_torque_in_rotation_Nm ?? 1);
    expect(Math.abs(peak - 1)).toBeLessThan(0.02);
    const worked = (phase?.work_J ?? 0) / (rotation?.work_net_torque_J ?? 1);
    expect(Math.abs(worked - 1)).toBeLessThan(0.03);
  });

  it('takes PL_100_01, which begins 0.9 deg outside the holds, without guessing there', () => {
    // The curve has no value beyond its ends, so 22 ms at the beginning have no torque: told as missing.
    const [phase] = phasesOf('PL_100_01', { pattern, gravity: curve });
    const peak = reference?.trials['PL_100_01']?.rotation?.peak_net_torque_in_rotation_Nm ?? 1;
    expect(Math.abs((phase?.peakTorque_Nm ?? 0) / peak - 1)).toBeLessThan(0.03);
  });

  it.each([
    ['Pas_Sho2Long', 'plantarflexion'],
    ['Pas_Long2Sho', 'dorsiflexion'],
  ])('%s is one passive movement, not a heap of fragments', (name, direction) => {
    const [phase, ...others] = phasesOf(name, { pattern });
    expect(others).toEqual([]);
    expect(phase).toMatchObject({ direction, action: 'passive', counts: true });
    const rotation = reference?.trials[name]?.rotation;
    expect(Math.abs((phase?.rangeOfMotion_deg ?? 0) / (rotation?.rom_deg ?? 1) - 1)).toBeLessThan(
      0.01,
    );
    const relative = (phase?.work_J ?? 0) / Math.abs(rotation?.work_measured_torque_J ?? 1);
    expect(Math.abs(relative - 1)).toBeLessThan(0.02);
  });

  it('reads a stretch as concentric when the angle is not turned: a good sign test', () => {
    const signal = signalOf('PL_0_01');
    const unturned = {
      ...signal,
      angle_deg: (signal.angle_deg ?? new Float64Array()).map((v) => -v),
    };
    const [phase] = analyze(unturned, {}, recipeFor(unturned, {})).phases;
    expect(phase).toMatchObject({ direction: 'rising', effort: 'rising', action: 'concentric' });
  });

  it('is still while held: an effort in one trial, none in the six relaxed ones', () => {
    expect(phasesOf('Ref_Long_01', {})).toHaveLength(1);
    for (const name of ['Pas_-15', 'Pas_-10', 'Pas_5', 'Pas_10', 'Pas_20', 'Pas_25']) {
      expect(phasesOf(name, {})).toEqual([]);
    }
  });
});

function indexOfLargest(values: Float64Array): number {
  const least = Math.min(...values);
  return largestAt(
    values.map((value) => value - least),
    { first: 0, end: values.length },
  );
}
