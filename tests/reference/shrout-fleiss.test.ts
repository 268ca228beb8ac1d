/**
 * Shrout & Fleiss 1979, Psychol Bull 86:420, their table of 6 subjects and 4 judges; printed values .17
 * .29 .71 and .44 .62 .91. More digits and the intervals: numpy and the R package psych 2.2.9.
 */
import { describe, expect, it } from 'vitest';
import { meanSquares } from '../../shared/statistics/anova.ts';
import { iccOf, type IccForm } from '../../shared/statistics/icc.ts';
import { fUpperTail } from '../../shared/statistics/quantiles.ts';

const TABLE = [
  [9, 2, 5, 8],
  [6, 1, 3, 2],
  [8, 4, 6, 8],
  [7, 1, 2, 6],
  [10, 5, 6, 9],
  [6, 2, 4, 7],
];

function squares() {
  const found = meanSquares(TABLE);
  if (found === null) throw new Error('no mean squares');
  return found;
}

describe('Shrout & Fleiss 1979', () => {
  it('mean squares', () => {
    expect(squares().bms).toBeCloseTo(11.241666666667, 12);
    expect(squares().wms).toBeCloseTo(6.263888888889, 12);
    expect(squares().jms).toBeCloseTo(32.486111111111, 12);
    expect(squares().ems).toBeCloseTo(1.019444444444, 12);
  });

  it.each<[IccForm, string, number, number, number]>([
    ['ICC(1,1)', '0.17', 0.1657417684, -0.1329323249, 0.7225600623],
    ['ICC(2,1)', '0.29', 0.2897637795, 0.0187865134, 0.7610843696],
    ['ICC(3,1)', '0.71', 0.7148407148, 0.342464765, 0.94585826],
    ['ICC(1,k)', '0.44', 0.4427971337, -0.8844421552, 0.9124154203],
    ['ICC(2,k)', '0.62', 0.6200505475, 0.0711368153, 0.9272320402],
    ['ICC(3,k)', '0.91', 0.9093155424, 0.6756747138, 0.9858916782],
  ])('%s is %s', (form, printed, value, lower, upper) => {
    const icc = iccOf(form, squares());
    expect(icc.value.toFixed(2)).toBe(printed);
    expect(Math.abs(icc.value - value)).toBeLessThan(1e-10);
    expect(icc.interval[0]).toBeCloseTo(lower, 10);
    expect(icc.interval[1]).toBeCloseTo(upper, 10);
  });

  it('F tests', () => {
    const { bms, wms, ems } = squares();
    expect(bms / wms).toBeCloseTo(1.794678492, 9);
    expect(fUpperTail(bms / wms, 5, 18)).toBeCloseTo(0.164764809, 4);
    expect(bms / ems).toBeCloseTo(11.027247956, 9);
    expect(fUpperTail(bms / ems, 5, 15)).toBeCloseTo(0.000134566517, 11);
  });
});
