/**
 * Bland & Altman 1986, Lancet i:307: peak expiratory flow by two meters, each read twice, l/min. Data and
 * printed results (-2.1, 38.8, -79.7, 75.5; limits' intervals -114.3..-45.1 and 40.9..110.1; repeatability
 * 43.2 and 56.4) from memory; more digits by numpy 1.24 and scipy 1.10.
 */
import { describe, expect, it } from 'vitest';
import { blandAltman } from '../../shared/statistics/bland-altman.ts';
import { repeatability } from '../../shared/statistics/repeatability.ts';

const WRIGHT_1 = [
  494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427,
];
const WRIGHT_2 = [
  490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421,
];
const MINI_1 = [
  512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451,
];
const MINI_2 = [
  525, 415, 508, 444, 500, 625, 460, 390, 642, 432, 420, 605, 227, 467, 268, 370, 443,
];

function paired(a: readonly number[], b: readonly number[]) {
  return a.map((value, i) => [value, b[i]] as const);
}

describe('Bland & Altman 1986', () => {
  it('limits of agreement with the round factor of the paper', () => {
    const found = blandAltman(paired(MINI_1, WRIGHT_1), { width: 2, confidence: 0.95 });
    if (found === null) throw new Error('no agreement');
    expect(found.n).toBe(17);
    expect(found.bias).toBeCloseTo(-2.117647, 6);
    expect(found.sdOfDifferences).toBeCloseTo(38.76513, 5);
    expect(found.limits[0]).toBeCloseTo(-79.647907, 6);
    expect(found.limits[1]).toBeCloseTo(75.412613, 6);
    expect(found.biasInterval[0]).toBeCloseTo(-22.04884, 5);
    expect(found.biasInterval[1]).toBeCloseTo(17.81354, 5);
    // The four below were computed with t rounded to 2.12; 2.1199053 moves them by 0.0015.
    expect(found.lowerLimitInterval[0]).toBeCloseTo(-114.171, 2);
    expect(found.lowerLimitInterval[1]).toBeCloseTo(-45.125, 2);
    expect(found.upperLimitInterval[0]).toBeCloseTo(40.889, 2);
    expect(found.upperLimitInterval[1]).toBeCloseTo(109.936, 2);
  });

  it('limits of agreement with 1.96', () => {
    const found = blandAltman(paired(MINI_1, WRIGHT_1));
    expect(found?.limits[0]).toBeCloseTo(-78.097302, 6);
    expect(found?.limits[1]).toBeCloseTo(73.862007, 6);
  });

  it('repeatability of either meter', () => {
    const wright = repeatability(paired(WRIGHT_2, WRIGHT_1), 2);
    const mini = repeatability(paired(MINI_2, MINI_1), 2);
    expect(wright?.coefficient).toBeCloseTo(43.2938, 4);
    expect(wright?.meanDifference).toBeCloseTo(4.941176, 6);
    expect(mini?.coefficient).toBeCloseTo(56.3163, 4);
    expect(mini?.meanDifference).toBeCloseTo(-2.882353, 6);
  });

  it('typical error', () => {
    expect(blandAltman(paired(WRIGHT_2, WRIGHT_1))?.typicalError).toBeCloseTo(15.361215, 6);
  });
});
