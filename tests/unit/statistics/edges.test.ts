/** What statistics say when there is too little to say anything. */
import { describe, expect, it } from 'vitest';
import { meanSquares } from '../../../shared/statistics/anova.ts';
import { blandAltman } from '../../../shared/statistics/bland-altman.ts';
import { iccOf } from '../../../shared/statistics/icc.ts';
import { leastSquares } from '../../../shared/statistics/least-squares.ts';
import { fitLine, fitThroughOrigin } from '../../../shared/statistics/line.ts';
import { momentsOf, sum } from '../../../shared/statistics/moments.ts';
import { fitPolynomial } from '../../../shared/statistics/polynomial.ts';
import { repeatability } from '../../../shared/statistics/repeatability.ts';

describe('too little data', () => {
  it('moments of nothing and of one value', () => {
    expect(momentsOf([])).toEqual({ n: 0, mean: Number.NaN, sd: Number.NaN });
    expect(momentsOf([5])).toEqual({ n: 1, mean: 5, sd: Number.NaN });
    expect(sum([])).toBe(0);
  });

  it('a compensated sum keeps what a plain one drops', () => {
    expect(sum([1e16, 1, -1e16])).toBe(1);
  });

  it('a line needs two unequal x', () => {
    expect(fitLine([1], [2])).toBeNull();
    expect(fitLine([3, 3, 3], [1, 2, 3])).toBeNull();
    expect(fitLine([0, 1], [1, 3])).toMatchObject({
      slope: 2,
      intercept: 1,
      residualSd: Number.NaN,
    });
    expect(fitThroughOrigin([0, 0], [1, 2])).toBeNull();
  });

  it('dependent columns are refused, not fitted', () => {
    const x = [1, 2, 3, 4];
    expect(leastSquares([x, x.map((v) => 2 * v)], [1, 2, 3, 4])).toBeNull();
    expect(fitPolynomial([1, 1, 2, 2], [1, 2, 3, 4], 2)).toBeNull();
    expect(fitPolynomial([1, 2], [1, 2], 2)).toBeNull();
  });

  it('a polynomial has no value outside its data', () => {
    const fit = fitPolynomial([0, 1, 2, 3], [0, 1, 4, 9], 2);
    expect(fit?.at(2.5)).toBeCloseTo(6.25, 12);
    expect(fit?.slopeAt(2.5)).toBeCloseTo(5, 12);
    expect(fit?.at(3.01)).toBeNaN();
    expect(fit?.slopeAt(-0.01)).toBeNaN();
  });

  it('a constant is a polynomial of degree 0', () => {
    expect(fitPolynomial([1, 1, 1], [2, 3, 4], 0)?.coefficients[0]).toBeCloseTo(3, 14);
  });

  it('rows with missing values are left out and counted', () => {
    const squares = meanSquares([[1, 2], [Number.NaN, 4], [5, 7], [9], [8, 8]]);
    expect(squares).toMatchObject({ nSubjects: 3, nTrials: 2, nLeftOut: 2 });
    expect(meanSquares([[1, 2]])).toBeNull();
    expect(meanSquares([[1], [2]])).toBeNull();
    expect(meanSquares([])).toBeNull();
  });

  it('no variance at all gives no correlation', () => {
    const squares = meanSquares([
      [4, 4],
      [4, 4],
      [4, 4],
    ]);
    expect(squares === null ? 0 : iccOf('ICC(3,1)', squares).value).toBeNaN();
  });

  it('pairs with missing values are left out and counted', () => {
    const pairs = [
      [1, 2],
      [3, Number.NaN],
      [4, 4],
    ] as const;
    expect(blandAltman(pairs)).toMatchObject({ n: 2, nLeftOut: 1, bias: 0.5 });
    expect(blandAltman([[1, 2]])).toBeNull();
    expect(repeatability([])).toBeNull();
  });
});
