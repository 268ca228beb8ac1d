/** What every measure promises, whatever it measures: null for what does not apply, one value for one thing. */
import { describe, expect, it } from 'vitest';
import type { Action } from '../../shared/analysis-types.ts';
import { MEASURES } from '../../shared/measures/index.ts';
import { measureRows } from '../../shared/measures/markdown.ts';
import { type Measure, type MeasureValue, measured } from '../../shared/measures/measure.ts';
import { SET_MEASURES } from '../../shared/measures/sets/index.ts';
import type { SetMeasure } from '../../shared/measures/sets/set-measure.ts';
import type { Window } from '../../shared/measures/window.ts';
import { presetRecipe } from '../../shared/recipe/presets.ts';
import { changedRecipe } from '../../shared/recipe/recipe.ts';
import { phaseWindow, sampled } from '../support/phase-window.ts';

const ACTIONS: readonly Action[] = ['concentric', 'eccentric', 'isometric', 'passive'];
const ALL: readonly Measure<string, MeasureValue>[] = MEASURES;

const recipe = changedRecipe(presetRecipe({ mode: 'isokinetic' }), 'every measure has something', {
  measures: {
    angles_deg: [30, 50],
    stiffnessAngles_deg: [30, 50],
    bestWindows_ms: [100],
    steadinessTrim_s: 0.1,
    steadinessLeast_s: 0.1,
    target_Nm: 100,
  },
});

/** A smooth repetition; columns of the given length. */
function fullWindow(action: Action, torque = 150): Window {
  const angle_deg = sampled(1.3, 1000, (t) => 10 + 60 * t);
  const torque_Nm = angle_deg.map((angle) => torque * Math.sin((Math.PI * (angle - 5)) / 90));
  return phaseWindow({
    rate_Hz: 1000,
    angle_deg,
    torque_Nm,
    velocity_degps: angle_deg.map(() => 60),
    fine_Nm: torque_Nm,
    onset: action === 'isometric' ? 0 : -1,
    action,
    targetSpeed_degps: 60,
    bodyMass_kg: 75,
    recipe,
  });
}

function narrowed(window: Window, end: number): Window {
  return { ...window, end, peak: -1 };
}

function numbersIn(value: MeasureValue): readonly (number | null)[] {
  return typeof value === 'object' && value !== null ? Object.values(value) : [value];
}

it('has no id twice, over measures of phases and of sets', () => {
  const ids = [...ALL, ...SET_MEASURES].map(({ id }) => id);
  expect(new Set(ids).size).toBe(ids.length);
});

it('has a row for each in the README table', () => {
  const rows = measureRows();
  for (const { id } of [...ALL, ...SET_MEASURES]) {
    expect(rows.filter((row) => row.startsWith(`| \`${id}\` |`))).toHaveLength(1);
  }
});

describe.each(ALL.map((measure) => [measure.id, measure] as const))('%s', (id, measure) => {
  it('says what it is, where it comes from and what checks it', () => {
    for (const text of [measure.name, measure.formula, measure.source, measure.check]) {
      expect(text.length).toBeGreaterThan(3);
    }
    const suffix = /_([A-Za-z]+)$/.exec(id)?.[1] ?? '';
    expect(suffix === '').toBe(measure.unit === '');
  });

  it('gives a number where it applies, and null elsewhere', () => {
    for (const action of ACTIONS) {
      const value = measured(measure, fullWindow(action));
      if (!measure.actions.includes(action)) expect(value).toBeNull();
      else expect(numbersIn(value).some((number) => typeof number === 'number')).toBe(true);
    }
  });

  it.each([
    ['no sample', (window: Window) => narrowed(window, 0)],
    ['one sample', (window: Window) => narrowed(window, 1)],
    [
      'only missing samples',
      (window: Window) => {
        const missing = window.torque_Nm.map(() => Number.NaN);
        const columns = { torque_Nm: missing, peakable_Nm: missing, unfiltered_Nm: missing };
        const angle = { angle_deg: missing, velocity_degps: missing, fine_Nm: missing };
        return { ...window, ...columns, ...angle, peak: -1 };
      },
    ],
  ])('of %s is null or finite, never NaN, and no invented number', (_, change) => {
    for (const action of measure.actions) {
      for (const number of numbersIn(measured(measure, change(fullWindow(action))))) {
        expect(number === null || Number.isFinite(number)).toBe(true);
      }
    }
  });

  it('does not change what it looks at', () => {
    const window = fullWindow(measure.actions[0] ?? 'concentric');
    const before = [...window.torque_Nm];
    measured(measure, window);
    expect([...window.torque_Nm]).toEqual(before);
  });

  it('is the same for a movement the other way: angle, velocity and effort turned', () => {
    for (const action of measure.actions) {
      const window = fullWindow(action);
      const turn = (column: Float64Array | null) => column?.map((value) => -value) ?? null;
      const angles = {
        angle_deg: turn(window.angle_deg),
        velocity_degps: turn(window.velocity_degps),
      };
      // The recipe's angles turn with the limb; the record's keys do too, so compare by size.
      const turnedRecipe = changedRecipe(recipe, 'turned', {
        measures: { angles_deg: [-50, -30], stiffnessAngles_deg: [-50, -30] },
      });
      const turned: Window = {
        ...window,
        ...angles,
        unfiltered_Nm: window.unfiltered_Nm.map((value) => -value),
        direction: -1,
        effort: -1,
        recipe: turnedRecipe,
      };
      const sizes = (value: MeasureValue) =>
        numbersIn(value)
          .map((number) => (number === null ? null : Math.abs(number).toPrecision(9)))
          .sort();
      expect(sizes(measured(measure, turned))).toEqual(sizes(measured(measure, window)));
    }
  });

  it('does not depend on when the phase happened', () => {
    for (const action of measure.actions) {
      const window = fullWindow(action);
      const later: Window = { ...window, time_s: window.time_s.map((t) => t + 1024) };
      const [a, b] = [numbersIn(measured(measure, window)), numbersIn(measured(measure, later))];
      const shift = id === 'peakTorqueTime_s' ? 1024 : 0;
      a.forEach((value, k) => {
        if (value === null) expect(b[k]).toBeNull();
        else
          expect(Math.abs((b[k] ?? 0) - shift - value)).toBeLessThan(1e-9 * (1 + Math.abs(value)));
      });
    }
  });
});

describe.each(SET_MEASURES.map((measure: SetMeasure<string>) => [measure.id, measure] as const))(
  '%s of a set',
  (_, measure) => {
    it('of no repetition is null', () => {
      expect(measure.of([], recipe)).toBeNull();
    });
  },
);
