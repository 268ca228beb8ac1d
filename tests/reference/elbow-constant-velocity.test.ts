/**
 * Outside check: robot rotations at commanded speeds (open data of myo-manipulation/SpasticMyoElbow);
 * numbers without any filter as PROVENANCE.md states, and our default recipe beside them.
 */
import { describe, expect, it } from 'vitest';
import { analyze, recipeFor } from '../../shared/analysis.ts';
import type { Signal } from '../../shared/analysis-types.ts';
import { peakVelocity } from '../../shared/measures/peak-velocity.ts';
import { work } from '../../shared/measures/work.ts';
import { DEFAULT_RECIPE } from '../../shared/recipe/presets.ts';
import { changedRecipe } from '../../shared/recipe/recipe.ts';
import { drivenSpeed, loadRangeOf } from '../../shared/segmentation/load-range.ts';
import { motionOf } from '../../shared/segmentation/motion.ts';
import { movementsOf } from '../../shared/segmentation/movements.ts';
import { hasReferenceData, referenceColumns } from '../support/reference-data.ts';
import { phaseWindow } from '../support/phase-window.ts';
import { halfUnit, referenceJson } from '../support/stated-method.ts';

const FOLDER = 'elbow-constant-velocity';

interface Trial {
  readonly commanded_velocity_deg_s: number;
  readonly rom_deg: number;
  readonly velocity_max_deg_s: number;
  readonly moving_start_index_1deg_s: number;
  readonly moving_end_index_1deg_s: number;
  readonly nominal_velocity_deg_s: number;
  readonly plateau_start_index_10pct: number;
  readonly plateau_end_index_10pct: number;
  readonly plateau_rom_deg: number;
  readonly work_over_motion_J: number;
}

const trials = hasReferenceData()
  ? Object.entries(
      (referenceJson(FOLDER, 'reference.json') as { trials: Record<string, Trial> }).trials,
    )
  : [];

/** No filter, the plateau as it is: what the reference did. */
const STATED = changedRecipe(DEFAULT_RECIPE, 'as stated', {
  conditioning: { torqueLowpass_Hz: null, angleLowpass_Hz: null, spike_deg: null, spike_Nm: null },
  loadRange: { noise_factor: 0, bridge_ms: 0, dropEntry_ms: 0 },
});

function read(name: string): Signal {
  const { time_s, torque_Nm, angle_deg } = referenceColumns(FOLDER, `${name}.csv.gz`);
  return {
    rate_Hz: 500,
    time_s: time_s ?? new Float64Array(),
    torque_Nm: torque_Nm ?? new Float64Array(),
    angle_deg: angle_deg ?? new Float64Array(),
    velocity_degps: null,
    flags: [],
  };
}

describe.runIf(hasReferenceData())('elbow-constant-velocity', () => {
  it('has six speeds', () => {
    expect(trials).toHaveLength(6);
  });

  it.each(trials)('%s by the stated method', (name, reference) => {
    const signal = read(name);
    const motion = motionOf(signal, STATED);
    if (motion === null) throw new Error('no angle');
    const [movement, ...others] = movementsOf(
      motion,
      { deadBand_degps: 1, edge_degps: 1, noise_degps: 0 },
      STATED,
    );
    expect(others).toEqual([]);
    if (!movement) throw new Error('no movement');
    // The reference's end indices are the last samples inside.
    expect(movement.first).toBe(reference.moving_start_index_1deg_s);
    expect(movement.end - 1).toBe(reference.moving_end_index_1deg_s);
    const { median_degps } = drivenSpeed(motion, movement);
    expect(Math.abs(median_degps - reference.nominal_velocity_deg_s)).toBeLessThan(halfUnit(3));
    const constant = loadRangeOf(motion, movement, median_degps, 0, STATED);
    expect(constant?.span.first).toBe(reference.plateau_start_index_10pct);
    expect((constant?.span.end ?? 0) - 1).toBe(reference.plateau_end_index_10pct);
    const window = phaseWindow({
      rate_Hz: 500,
      torque_Nm: signal.torque_Nm,
      angle_deg: motion.angle_deg,
      velocity_degps: motion.velocity_degps,
      first: movement.first,
      end: movement.end,
    });
    const fastest = peakVelocity.of(window) ?? 0;
    expect(Math.abs(fastest - reference.velocity_max_deg_s)).toBeLessThan(halfUnit(3));
    const work_J = work.of(window) ?? 0;
    expect(Math.abs(work_J - Math.abs(reference.work_over_motion_J))).toBeLessThan(halfUnit(6));
  });

  it.each(trials)(
    '%s by the default recipe: one movement at the commanded speed',
    (name, reference) => {
      const document = analyze(read(name), {}, recipeFor(read(name), {}));
      expect(document.inferred).toMatchObject({
        mode: 'isokinetic',
        speed_degps: reference.commanded_velocity_deg_s,
      });
      expect(document.phases).toHaveLength(1);
      const [phase] = document.phases;
      expect(phase?.counts).toBe(true);
      // Edges go out to where rest begins instead of 1 deg/s, which adds hundredths of a degree.
      expect(Math.abs((phase?.rangeOfMotion_deg ?? 0) - reference.rom_deg)).toBeLessThan(0.05);
      // 50 ms after entry are dropped and 10 Hz smooths the entry: 50 ms of travel and half as much again.
      const dropped = 0.075 * reference.commanded_velocity_deg_s;
      const range = phase?.loadRange?.range_deg ?? 0;
      expect(range).toBeLessThan(reference.plateau_rom_deg + 0.5);
      expect(range).toBeGreaterThan(reference.plateau_rom_deg - dropped - 0.5);
      expect(
        Math.abs((phase?.work_J ?? 0) / Math.abs(reference.work_over_motion_J) - 1),
      ).toBeLessThan(0.01);
    },
  );
});
