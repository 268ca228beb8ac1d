/**
 * NIST Statistical Reference Datasets (StRD), certified values as printed in each file: univariate
 * summaries, straight lines, lines through the origin, polynomials.
 */
import { describe, expect, it } from 'vitest';
import { fitLine, fitThroughOrigin } from '../../shared/statistics/line.ts';
import { momentsOf } from '../../shared/statistics/moments.ts';
import { fitPolynomial } from '../../shared/statistics/polynomial.ts';
import { hasReferenceData, referenceText } from '../support/reference-data.ts';

const NUMBER = /[-+]?(?:\d+\.?\d*|\.\d+)(?:[Ee][-+]?\d+)?/g;

function numbersOf(text: string): number[] {
  return [...text.matchAll(NUMBER)].map(([match]) => Number(match));
}

/** Decimal digits that agree: -log10 of the relative error, absolute when the certified value is 0. */
function digits(value: number, certified: number): number {
  if (value === certified) return 15;
  const error = Math.abs(value - certified) / (certified === 0 ? 1 : Math.abs(certified));
  return -Math.log10(error);
}

interface Univariate {
  readonly values: number[];
  readonly mean: number;
  readonly sd: number;
}

function readUnivariate(name: string): Univariate {
  const text = referenceText('nist-strd', `${name}.dat`);
  const certified = (label: RegExp) => Number((label.exec(text) ?? [])[1]);
  const data = text.slice(text.lastIndexOf('---') + 3);
  return {
    values: numbersOf(data),
    mean: certified(/Sample Mean(?:\s+ybar)?:\s+(-?[\d.]+)/),
    sd: certified(/Sample Standard Deviation \(denom\. = n-1\)(?:\s+s)?:\s+([\d.]+)/),
  };
}

interface Regression {
  readonly x: number[];
  readonly y: number[];
  readonly estimates: number[];
  readonly errors: number[];
  readonly residualSd: number;
  readonly rSquared: number;
}

function readRegression(name: string): Regression {
  const text = referenceText('nist-strd', `${name}.dat`);
  const rows = [...text.matchAll(/^\s+B\d+\s+(\S+)\s+(\S+)/gm)];
  const data = text.slice(text.lastIndexOf('Data:'));
  const pairs = data
    .split('\n')
    .slice(1)
    .map(numbersOf)
    .filter((row) => row.length === 2);
  return {
    y: pairs.map(([y]) => y),
    x: pairs.map(([, x]) => x),
    estimates: rows.map((row) => Number(row[1])),
    errors: rows.map((row) => Number(row[2])),
    residualSd: Number((/Standard Deviation\s+(\S+)\s*\n\s*\n\s*R-Squared/.exec(text) ?? [])[1]),
    rSquared: Number((/R-Squared\s+(\S+)/.exec(text) ?? [])[1]),
  };
}

describe.runIf(hasReferenceData())('NIST StRD', () => {
  // The data of NumAcc3 and NumAcc4 cannot be held in a double to more digits than stated here: the
  // decimal fraction of 10000000.2 is rounded at 2e-9 of its spread.
  it.each([
    ['Lew', 200, 15, 14],
    ['Lottery', 218, 14, 14],
    ['Mavro', 50, 14, 12],
    ['Michelso', 100, 14, 12],
    ['NumAcc1', 3, 15, 15],
    ['NumAcc2', 1001, 14, 14],
    ['NumAcc3', 1001, 14, 9],
    ['NumAcc4', 1001, 14, 8],
  ])('%s: mean and standard deviation', (name, n, meanDigits, sdDigits) => {
    const { values, mean, sd } = readUnivariate(name);
    expect(values).toHaveLength(n);
    const found = momentsOf(values);
    expect(digits(found.mean, mean)).toBeGreaterThanOrEqual(meanDigits);
    expect(digits(found.sd, sd)).toBeGreaterThanOrEqual(sdDigits);
  });

  it('Norris: straight line', () => {
    const { x, y, estimates, errors, residualSd, rSquared } = readRegression('Norris');
    expect(x).toHaveLength(36);
    const fit = fitLine(x, y);
    expect(digits(fit?.intercept ?? 0, estimates[0])).toBeGreaterThan(12);
    expect(digits(fit?.slope ?? 0, estimates[1])).toBeGreaterThan(13);
    expect(digits(fit?.interceptError ?? 0, errors[0])).toBeGreaterThan(13);
    expect(digits(fit?.slopeError ?? 0, errors[1])).toBeGreaterThan(13);
    expect(digits(fit?.residualSd ?? 0, residualSd)).toBeGreaterThan(13);
    expect(digits(fit?.rSquared ?? 0, rSquared)).toBeGreaterThan(13);
  });

  it('NoInt1: line through the origin', () => {
    const { x, y, estimates, errors, residualSd, rSquared } = readRegression('NoInt1');
    expect(x).toHaveLength(11);
    const fit = fitThroughOrigin(x, y);
    expect(digits(fit?.slope ?? 0, estimates[0])).toBeGreaterThan(13);
    expect(digits(fit?.slopeError ?? 0, errors[0])).toBeGreaterThan(13);
    expect(digits(fit?.residualSd ?? 0, residualSd)).toBeGreaterThan(13);
    expect(digits(fit?.rSquared ?? 0, rSquared)).toBeGreaterThan(13);
  });

  // Values as quoted in public test code of the set, reproduced by scipy.
  it('NoInt2: line through the origin', () => {
    const fit = fitThroughOrigin([4, 5, 6], [3, 4, 4]);
    expect(digits(fit?.slope ?? 0, 0.727272727272727)).toBeGreaterThan(13);
    expect(digits(fit?.slopeError ?? 0, 0.0420827318078432)).toBeGreaterThan(13);
    expect(digits(fit?.residualSd ?? 0, 0.369274472937998)).toBeGreaterThan(13);
    expect(digits(fit?.rSquared ?? 0, 0.993348115299335)).toBeGreaterThan(13);
  });

  it.each([
    ['Pontius', 40, 2, 11],
    ['Filip', 82, 10, 9],
    ['Wampler1', 21, 5, 9],
    ['Wampler2', 21, 5, 12],
    ['Wampler4', 21, 5, 9],
  ])('%s: polynomial', (name, n, degree, least) => {
    const { x, y, estimates, errors, residualSd, rSquared } = readRegression(name);
    expect(x).toHaveLength(n);
    const fit = fitPolynomial(x, y, degree);
    if (fit === null) throw new Error('no fit');
    expect(estimates).toHaveLength(degree + 1);
    estimates.forEach((estimate, k) => {
      expect(digits(fit.coefficients[k], estimate)).toBeGreaterThan(least);
    });
    if (residualSd === 0) {
      expect(fit.residualSd).toBeLessThan(1e-7);
      return;
    }
    errors.forEach((error, k) => {
      expect(digits(fit.errors[k], error)).toBeGreaterThan(least);
    });
    expect(digits(fit.residualSd, residualSd)).toBeGreaterThan(least);
    expect(digits(fit.rSquared, rSquared)).toBeGreaterThan(9);
  });
});
