/**
 * Outside check: 26 real pushes on a wheel (open data of felixchenier/kineticstoolkit), repetitions and
 * work as PROVENANCE.md states: 10 Hz on moment, 6 Hz on the unwrapped angle, on above 2 Nm, off below 1.
 */
import { describe, expect, it } from 'vitest';
import { work } from '../../shared/measures/work.ts';
import { largestAt } from '../../shared/measures/window.ts';
import { presetRecipe } from '../../shared/recipe/presets.ts';
import { changedRecipe } from '../../shared/recipe/recipe.ts';
import { effortsOf } from '../../shared/segmentation/efforts.ts';
import { unwrap } from '../../shared/segmentation/motion.ts';
import { hasReferenceData, referenceColumns } from '../support/reference-data.ts';
import { phaseWindow } from '../support/phase-window.ts';
import { halfUnit, lowPassed, referenceJson } from '../support/stated-method.ts';

const FOLDER = 'wheel-repetitions';
const RATE_HZ = 240;

interface Push {
  readonly start_index: number;
  readonly end_index: number;
  readonly peak_index: number;
  readonly peak_moment_Nm: number;
  readonly wheel_angle_at_peak_deg: number;
  readonly push_angle_deg: number;
  readonly work_J: number;
}

interface Reference {
  readonly revolutions: number;
  readonly total_work_J: number;
  readonly reps: readonly Push[];
}

describe.runIf(hasReferenceData())('wheel-repetitions', () => {
  const columns = hasReferenceData() ? referenceColumns(FOLDER, 'overground_32s.csv.gz') : {};
  const moment = lowPassed(columns['moment_z_Nm'] ?? new Float64Array(1), 10, RATE_HZ);
  const turned = unwrap((columns['angle_wrapped_deg'] ?? new Float64Array(1)).slice());
  const angle = lowPassed(turned, 6, RATE_HZ);
  const reference = hasReferenceData()
    ? (referenceJson(FOLDER, 'reference.json') as { overground_32s: Reference }).overground_32s
    : { revolutions: 0, total_work_J: 0, reps: [] };
  // A Schmitt trigger: no share of the largest, and the end by the lower level alone.
  const recipe = changedRecipe(presetRecipe({ mode: 'isometric' }), 'as stated', {
    isometric: {
      leastEffort_Nm: 2,
      effort_pct: 0,
      over_pct: 50,
      overReached_pct: 0,
      leastDuration_ms: 100,
    },
  });
  const pushes = effortsOf({ torque_Nm: moment, rate_Hz: RATE_HZ, isZeroed: true, recipe }).filter(
    ({ sign }) => sign === 1,
  );

  it('finds the 26 pushes, each at its samples', () => {
    expect(pushes.map(({ first, end }) => [first, end])).toEqual(
      reference.reps.map(({ start_index, end_index }) => [start_index, end_index]),
    );
  });

  it('turns the wheel 14.65 times', () => {
    const turns = (turned[turned.length - 1] - turned[0]) / 360;
    expect(Math.abs(turns - reference.revolutions)).toBeLessThan(halfUnit(4));
  });

  it('gives the peak, push angle and work of each', () => {
    pushes.forEach((push, k) => {
      const printed = reference.reps[k];
      if (!printed) throw new Error('more pushes than the reference');
      const at = largestAt(moment, push);
      expect(at).toBe(printed.peak_index);
      expect(Math.abs(moment[at] - printed.peak_moment_Nm)).toBeLessThan(halfUnit(4));
      expect(Math.abs(angle[at] - printed.wheel_angle_at_peak_deg)).toBeLessThan(halfUnit(3));
      const window = phaseWindow({
        rate_Hz: RATE_HZ,
        torque_Nm: moment,
        angle_deg: angle,
        first: push.first,
        end: push.end,
      });
      expect(Math.abs((work.of(window) ?? 0) - printed.work_J)).toBeLessThan(halfUnit(4));
      const travelled = angle[push.end - 1] - angle[push.first];
      expect(Math.abs(travelled - printed.push_angle_deg)).toBeLessThan(halfUnit(3));
    });
    const total = pushes.reduce((sum, { first, end }) => {
      const window = phaseWindow({
        rate_Hz: RATE_HZ,
        torque_Nm: moment,
        angle_deg: angle,
        first,
        end,
      });
      return sum + (work.of(window) ?? 0);
    }, 0);
    expect(Math.abs(total - reference.total_work_J)).toBeLessThan(halfUnit(3));
  });
});
