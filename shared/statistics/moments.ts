/**
 * Mean and standard deviation that keep their digits: compensated sum, then squared deviations around
 * the mean (two passes). The naive one-pass formula loses them all on data such as 10000000.2.
 */

export interface Moments {
  readonly n: number;
  /** NaN for n = 0. */
  readonly mean: number;
  /** Of a sample (n - 1); NaN for n < 2. */
  readonly sd: number;
}

/** Any NaN makes both NaN: leave missing values out before, and say so. */
export function momentsOf(values: ArrayLike<number>): Moments {
  const n = values.length;
  const mean = sum(values) / n;
  let squares = 0;
  let rest = 0;
  for (let i = 0; i < n; i += 1) {
    const d = values[i] - mean;
    squares += d * d;
    rest += d;
  }
  // The correction is the rounding of the mean itself (Chan, Golub & LeVeque 1983, Am Stat 37:242).
  return { n, mean: mean + rest / n, sd: Math.sqrt((squares - (rest * rest) / n) / (n - 1)) };
}

/** Neumaier's compensated sum (1974, Z Angew Math Mech 54:39); 0 for nothing. */
export function sum(values: ArrayLike<number>): number {
  let total = 0;
  let lost = 0;
  for (let i = 0; i < values.length; i += 1) {
    const value = values[i];
    const next = total + value;
    lost += Math.abs(total) >= Math.abs(value) ? total - next + value : value - next + total;
    total = next;
  }
  return total + lost;
}
