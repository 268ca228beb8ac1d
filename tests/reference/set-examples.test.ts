/** Outside check: worked examples of sets, ratios and symmetry (domain dossier 2.7, computed there by numpy). */
import { describe, expect, it } from 'vitest';
import type { Phase } from '../../shared/analysis-types.ts';
import { measureSet } from '../../shared/measures/sets/index.ts';
import {
  bilateralIndex_pct,
  differenceOfMean_pct,
  differenceOfStronger_pct,
  differenceOfSum_pct,
  limbSymmetryIndex_pct,
  logRatio,
  symmetryAngle_pct,
} from '../../shared/measures/symmetry.ts';
import { measureAll } from '../../shared/measures/index.ts';
import { DEFAULT_RECIPE } from '../../shared/recipe/presets.ts';
import { phaseWindow } from '../support/phase-window.ts';

/** Phases that differ in their numbers only. */
function phasesWith(numbers: readonly number[]): Phase[] {
  const window = phaseWindow({
    rate_Hz: 10,
    torque_Nm: Float64Array.of(1, 2, 1),
    angle_deg: Float64Array.of(0, 1, 2),
  });
  return numbers.map((number, k) => ({
    repetition: k + 1,
    direction: 'extension',
    effort: 'extension',
    action: 'concentric',
    start_s: k,
    end_s: k + 0.5,
    counts: true,
    reasons: [],
    ...measureAll(window),
    peakTorque_Nm: number,
    work_J: number,
    peakPower_W: number,
    loadRange: null,
    onset_s: null,
  }));
}

describe('five peaks 182, 190, 186, 188, 179', () => {
  const set = measureSet(phasesWith([182, 190, 186, 188, 179]), DEFAULT_RECIPE);

  it('have mean 185, best 190 and a coefficient of variation of 2.417371 % with n - 1', () => {
    expect(set.meanPeakTorque_Nm).toBe(185);
    expect(set.bestPeakTorque_Nm).toBe(190);
    expect(set.coefficientOfVariation_pct).toBeCloseTo(2.417371, 6);
    expect(set.totalWork_J).toBe(925);
  });

  it('are too few for fatigue: null, not 0', () => {
    expect(set.workDecline_pct).toBeNull();
    expect(set.fatigueFirstLast_pct).toBeNull();
    expect(set.fatigueSlope_Nm).toBeNull();
  });
});

describe('twelve repetitions 120 ... 86', () => {
  const set = measureSet(
    phasesWith([120, 124, 122, 118, 115, 111, 106, 102, 97, 93, 90, 86]),
    DEFAULT_RECIPE,
  );

  it('give each index its own printed value', () => {
    expect(set.totalWork_J).toBe(1284);
    expect(set.workDecline_pct).toBeCloseTo(24.3802, 4);
    expect(set.fatigueSlope_Nm).toBeCloseTo(-3.6083916, 7);
    expect(set.fatigueFirstLast_pct).toBeCloseTo(26.5027, 4);
    expect(set.fatigueBestLast_pct).toBeCloseTo(27.6882, 4);
    expect(set.percentDecrement_pct).toBeCloseTo(13.7097, 4);
    expect(set.regressionDecline_pct).toBeCloseTo(31.2917, 4);
  });
});

describe('a set without counting repetitions, or of one', () => {
  it('has no best, mean or variation', () => {
    expect(Object.values(measureSet([], DEFAULT_RECIPE)).every((value) => value === null)).toBe(
      true,
    );
    expect(measureSet(phasesWith([180]), DEFAULT_RECIPE).coefficientOfVariation_pct).toBeNull();
  });
});

describe('the stop rule', () => {
  it('counts until two in a row stay below half of the best: one slip does not end it', () => {
    const powers = [100, 110, 104, 50, 90, 70, 54, 53, 80];
    expect(measureSet(phasesWith(powers), DEFAULT_RECIPE).repetitionsToStop).toBe(6);
    expect(measureSet(phasesWith([100, 90, 80]), DEFAULT_RECIPE).repetitionsToStop).toBe(3);
  });
});

describe('165 on one side, 190 on the other', () => {
  it('has as many symmetries as formulas', () => {
    expect(limbSymmetryIndex_pct(165, 190)).toBeCloseTo(86.8421, 4);
    expect(differenceOfStronger_pct(165, 190)).toBeCloseTo(13.1579, 4);
    expect(differenceOfMean_pct(165, 190)).toBeCloseTo(14.0845, 4);
    expect(differenceOfSum_pct(165, 190)).toBeCloseTo(7.0423, 4);
    expect(Math.abs(symmetryAngle_pct(165, 190) ?? 0)).toBeCloseTo(4.4758, 4);
    expect(logRatio(165, 190)).toBeCloseTo(-0.141079, 6);
  });

  it('both limbs together 350 against 190 + 180: -5.4054 %', () => {
    expect(bilateralIndex_pct(350, 190, 180)).toBeCloseTo(-5.4054, 4);
  });

  it('has no value against nothing', () => {
    expect(limbSymmetryIndex_pct(165, 0)).toBeNull();
    expect(bilateralIndex_pct(10, 0, 0)).toBeNull();
  });
});
