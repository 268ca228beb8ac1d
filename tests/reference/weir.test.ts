/**
 * Weir 2005, J Strength Cond Res 19:231: two data sets with the same differences and unequal spread of
 * subjects. Data typed from memory; the correlations agree with the R package psych 2.2.9.
 */
import { describe, expect, it } from 'vitest';
import { meanSquares } from '../../shared/statistics/anova.ts';
import { blandAltman } from '../../shared/statistics/bland-altman.ts';
import { iccOf, type IccForm } from '../../shared/statistics/icc.ts';
import {
  mdc95Of,
  measurementError,
  semFromIcc,
} from '../../shared/statistics/measurement-error.ts';

type Pairs = readonly (readonly [number, number])[];

const WIDE: Pairs = [
  [146, 140],
  [148, 152],
  [170, 152],
  [90, 99],
  [157, 145],
  [156, 153],
  [176, 167],
  [205, 218],
];
const NARROW: Pairs = [
  [166, 160],
  [168, 172],
  [160, 142],
  [150, 159],
  [147, 135],
  [146, 143],
  [156, 147],
  [155, 168],
];

function squares(pairs: Pairs) {
  const found = meanSquares(pairs);
  if (found === null) throw new Error('no mean squares');
  return found;
}

describe('Weir 2005', () => {
  it('mean squares of the wide set', () => {
    const { bms, wms, jms, ems, trialMeans } = squares(WIDE);
    expect(trialMeans).toEqual([156, 153.25]);
    expect(bms).toBeCloseTo(2098.535714, 6);
    expect(wms).toBeCloseTo(53.75, 10);
    expect(jms).toBeCloseTo(30.25, 10);
    expect(ems).toBeCloseTo(57.107143, 6);
  });

  it.each<[IccForm, number]>([
    ['ICC(1,1)', 0.9500530997],
    ['ICC(2,1)', 0.9499750706],
    ['ICC(3,1)', 0.947016137],
    ['ICC(1,k)', 0.9743869024],
    ['ICC(2,k)', 0.9743458621],
    ['ICC(3,k)', 0.9727871475],
  ])('wide set, %s', (form, value) => {
    expect(iccOf(form, squares(WIDE)).value).toBeCloseTo(value, 10);
  });

  it('the correlation falls with the spread of subjects, the error of measurement does not', () => {
    expect(squares(NARROW).bms).toBeCloseTo(189.964286, 6);
    expect(iccOf('ICC(3,1)', squares(NARROW)).value).toBeCloseTo(0.537727667, 10);
    expect(iccOf('ICC(2,1)', squares(NARROW)).value).toBeCloseTo(0.5527488856, 10);
    for (const pairs of [WIDE, NARROW]) {
      const { sem, mdc95 } = measurementError(squares(pairs));
      expect(sem).toBeCloseTo(7.5569268, 7);
      expect(mdc95).toBeCloseTo(20.9467324, 7);
      expect(blandAltman(pairs)?.typicalError).toBeCloseTo(sem, 12);
    }
  });

  it('standard error from a published SD of 28 and ICC of .93', () => {
    expect(semFromIcc(28, 0.93)).toBeCloseTo(7.4081, 4);
    expect(mdc95Of(semFromIcc(28, 0.93))).toBeCloseTo(20.5342, 4);
  });
});
