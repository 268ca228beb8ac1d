/** Quantiles against scipy 1.10.1, computed with the command above each table. */
import { describe, expect, it } from 'vitest';
import { logGamma } from '../../../shared/statistics/incomplete-beta.ts';
import {
  fQuantile,
  fUpperTail,
  gaussianQuantile,
  tQuantile,
} from '../../../shared/statistics/quantiles.ts';

const RELATIVE = 1e-12;

function expectClose(value: number, expected: number): void {
  expect(Math.abs(value - expected)).toBeLessThanOrEqual(
    RELATIVE * Math.max(1e-3, Math.abs(expected)),
  );
}

describe('quantiles', () => {
  // python3 -c "from scipy.stats import norm; print(norm.ppf([1e-12,.001,.025,.2,.5,.6,.9,.995]))"
  it.each([
    [1e-12, -7.034483825301131],
    [0.001, -3.090232306167813],
    [0.025, -1.9599639845400545],
    [0.2, -0.8416212335729142],
    [0.5, 0],
    [0.6, 0.2533471031357997],
    [0.9, 1.2815515655446004],
    [0.995, 2.5758293035489004],
    [0.9999999, 5.199337582290661],
  ])('Gaussian p = %f', (p, expected) => {
    expectClose(gaussianQuantile(p), expected);
  });

  // scipy's t.ppf is good to 1e-9 only (its t.cdf shows it), so from its inverse beta, for each p, d:
  // python3 -c "from scipy.special import betaincinv as b; p, d = .975, 5; print((d / b(d / 2, .5, 2 * (1 - p)) - d) ** .5)"
  it.each([
    [0.975, 1, 12.706204736174696],
    [0.975, 2, 4.302652729749462],
    [0.975, 5, 2.570581835636315],
    [0.975, 16, 2.1199052992212533],
    [0.975, 30, 2.0422724563012387],
    [0.995, 7, 3.4994832973504932],
    [0.95, 2.5, 2.5582186141359355],
    [0.05, 3, -2.353363434801824],
    [0.6, 4, 0.2707222947075976],
    [0.9999, 10, 5.693820101457593],
    [0.975, 1000, 1.9623390808262764],
    [0.5, 8, 0],
  ])('t p = %f, %f degrees of freedom', (p, dof, expected) => {
    expectClose(tQuantile(p, dof), expected);
  });

  // python3 -c "from scipy.stats import f; print(f.ppf(.975, 5, 18))" and so on
  it.each([
    [0.975, 5, 18, 3.381967805875243],
    [0.975, 5, 15, 3.5764153492790607],
    [0.975, 15, 5, 6.42772816707878],
    [0.975, 18, 5, 6.361883204654353],
    [0.975, 5, 4.785143862, 7.498627593518863],
    [0.975, 4.785143862, 5, 7.190737169283827],
    [0.95, 1, 1, 161.44763879758827],
    [0.025, 7, 7, 0.20020383877718267],
    [0.5, 3, 9, 0.8516839503845974],
    [0.999, 2, 40, 8.25075089245513],
    [0.01, 120, 4, 0.2873950219260284],
    [0.975, 10, 71, 2.234628981597163],
  ])('F p = %f, %f and %f degrees of freedom', (p, dof1, dof2, expected) => {
    expectClose(fQuantile(p, dof1, dof2), expected);
  });

  // python3 -c "from scipy.stats import f; print(f.sf(36.74734, 7, 7))" and so on
  it.each([
    [1.794678492, 5, 18, 0.16476880839426664],
    [11.027247956, 5, 15, 0.00013456651651200482],
    [36.74734, 7, 7, 5.350857980808872e-5],
  ])('F tail above %f', (value, dof1, dof2, expected) => {
    expect(fUpperTail(value, dof1, dof2) / expected - 1).toBeCloseTo(0, 11);
  });

  // The Cauchy distribution is t with one degree of freedom: closed form tan(pi (p - 1/2))
  it('t with one degree of freedom', () => {
    expectClose(tQuantile(0.9, 1), Math.tan(Math.PI * 0.4));
  });

  // Gamma(1/2) = sqrt(pi), Gamma(n) = (n - 1)! (definition)
  it('log gamma', () => {
    expectClose(logGamma(0.5), Math.log(Math.sqrt(Math.PI)));
    expectClose(logGamma(0.1), 2.252712651734206);
    expectClose(logGamma(11), Math.log(3628800));
  });
});
