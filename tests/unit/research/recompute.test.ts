/** What a page is sent to compute with gives the very numbers of the daemon; one value at a time is changed. */
import { describe, expect, test } from 'vitest';
import { analyze, recipeFor } from '../../../shared/analysis.ts';
import type { Signal } from '../../../shared/analysis-types.ts';
import { numberPairs, phasePairs } from '../../../shared/measures/differences.ts';
import {
  differingPlaces,
  PLACES,
  typedValue,
  valueAt,
  withValue,
} from '../../../shared/recipe/edit.ts';
import { DEFAULT_RECIPE } from '../../../shared/recipe/presets.ts';
import { conditionedCurves } from '../../../shared/segmentation/whole.ts';
import { decodeAnalysisInput, encodeAnalysisInput } from '../../../shared/wire/signal-codec.ts';
import { ankleSet } from '../../support/curves.ts';

const { torque_Nm, angle_deg } = ankleSet({
  ...{ rate_Hz: 500, nRepetitions: 3, speed_degps: 60, seed: 7 },
});
const SIGNAL: Signal = {
  rate_Hz: 500,
  time_s: Float64Array.from(torque_Nm, (_, i) => i / 500),
  torque_Nm: Float64Array.from(torque_Nm),
  angle_deg: Float64Array.from(angle_deg),
  velocity_degps: null,
  flags: [],
};
const CONDITIONS = { mode: 'isokinetic', speed_degps: 60 } as const;
const place = (id: string) => {
  const found = PLACES.find((one) => one.id === id);
  if (!found) throw new Error(`no parameter ${id}`);
  return found;
};
const recipe = recipeFor(SIGNAL, CONDITIONS);
const input = { recording: 'r1 Größe', signal: SIGNAL, conditions: CONDITIONS, recipe };

describe('the input of an analysis on the wire', () => {
  test('comes back bit by bit, missing samples too, and gives the same document', () => {
    const holed = { ...SIGNAL, torque_Nm: SIGNAL.torque_Nm.slice() };
    holed.torque_Nm.fill(Number.NaN, 100, 110);
    const read = decodeAnalysisInput(encodeAnalysisInput({ ...input, signal: holed }));
    expect(read).toEqual({ ...input, signal: holed });
    const again = read && analyze(read.signal, read.conditions, read.recipe, read.recording);
    expect(again).toEqual(analyze(holed, CONDITIONS, recipe, input.recording));
  });

  test('its bytes are as the table says', () => {
    const two = {
      ...SIGNAL,
      ...{ time_s: Float64Array.of(0, 0.5), torque_Nm: Float64Array.of(1, -2), angle_deg: null },
    };
    const bytes = encodeAnalysisInput({ ...input, signal: two });
    const view = new DataView(bytes.buffer);
    const head = view.getUint32(0, true);
    expect(head % 8).toBe(0);
    expect(view.getUint32(4, true)).toBe(2);
    expect(String.fromCharCode(...bytes.subarray(8, 21))).toBe('{"recording":');
    const values = [0, 1, 2, 3].map((k) => view.getFloat64(8 + head + 8 * k, true));
    expect(values).toEqual([0, 0.5, 1, -2]);
    expect(bytes.length).toBe(8 + head + 32);
  });

  test.each([0, 7, 40, -8])('%d bytes of it are refused', (n) => {
    const bytes = encodeAnalysisInput(input);
    expect(decodeAnalysisInput(n < 0 ? bytes.subarray(0, n) : bytes.subarray(0, n))).toBeNull();
  });
});

describe('a recipe changed by one value', () => {
  test('every parameter takes its own value back, and says what it does not take', () => {
    for (const one of PLACES) {
      expect(withValue(DEFAULT_RECIPE, one, valueAt(DEFAULT_RECIPE, one))).toEqual({
        recipe: DEFAULT_RECIPE,
      });
      if (one.parameter.kind === 'choice') continue;
      const { most } = one.parameter;
      const tooMuch = one.parameter.kind === 'list' ? [most + 1] : most + 1;
      expect(withValue(DEFAULT_RECIPE, one, tooMuch), one.id).toHaveProperty('problem');
    }
  });

  test('only what was changed differs', () => {
    const cutOff = place('torqueLowpass_Hz');
    const changed = withValue(recipe, cutOff, 6);
    if ('problem' in changed) throw new Error(changed.problem);
    expect(differingPlaces(recipe, changed.recipe)).toEqual([cutOff]);
  });

  test('what a person types: empty is "not done" only where that is a choice', () => {
    expect(typedValue('', place('torqueLowpass_Hz').parameter)).toBeNull();
    expect(typedValue('', place('deadBand_degps').parameter)).toBeNaN();
    expect(typedValue('\u22122.5', place('delay_ms').parameter)).toBe(-2.5);
    expect(typedValue('30, 40 50', place('angles_deg').parameter)).toEqual([30, 40, 50]);
  });
});

describe('two recipes side by side', () => {
  const changed = withValue(recipe, place('torqueLowpass_Hz'), 3);
  const other = 'recipe' in changed ? changed.recipe : recipe;
  const a = analyze(SIGNAL, CONDITIONS, recipe);
  const b = analyze(SIGNAL, CONDITIONS, other);

  test('every phase meets its own, and every number its difference', () => {
    const pairs = phasePairs(a.phases, b.phases);
    expect(pairs.map((pair) => pair.a)).toEqual(a.phases);
    const [first] = pairs;
    const peak = first && numberPairs(first).find(({ id }) => id === 'peakTorque_Nm');
    expect(peak?.difference).toBe((peak?.b ?? 0) - (peak?.a ?? 0));
    expect(peak?.difference).not.toBe(0);
    expect(first && numberPairs(first).some(({ id }) => id === 'loadRange.work_J')).toBe(true);
  });

  test('a phase that only one found stands alone', () => {
    expect(phasePairs(a.phases, b.phases.slice(1))[0]?.b).toBeNull();
    expect(phasePairs(a.phases.slice(1), b.phases)[0]?.a).toBeNull();
  });

  test('the curve shown holds the peak that the numbers name', () => {
    const { torque_Nm: shown } = conditionedCurves(SIGNAL, CONDITIONS, recipe);
    for (const { peakTorque_Nm, peakTorqueTime_s } of a.phases) {
      const at = Math.round((peakTorqueTime_s ?? Number.NaN) * 500);
      expect(Math.abs(shown[at] ?? Number.NaN)).toBeCloseTo(peakTorque_Nm ?? Number.NaN, 9);
    }
  });
});
