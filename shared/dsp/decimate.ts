/** Fewer samples a second without aliasing: low-pass and take every k-th, as scipy.signal.resample_poly. */

/** Beyond the ends: zeros, as scipy has it, or the end sample again. */
export type Beyond = 'zero' | 'repeat';

/** Taps on each side for one step of the slow rate, and the Kaiser window's shape: scipy's defaults. */
const TAPS_A_SIDE = 10;
const KAISER_BETA = 5;

/**
 * Every `factor`-th sample, the first kept in place; ceil(n / factor) of them.
 * Missing samples spoil the 20 * factor around them: cut at gaps before.
 */
export function decimate(x: Float64Array, factor: number, beyond: Beyond): Float64Array {
  const half = TAPS_A_SIDE * factor;
  const taps = lowPassTaps(factor);
  const last = x.length - 1;
  return Float64Array.from({ length: Math.ceil(x.length / factor) }, (_, j) => {
    let sum = 0;
    for (let k = -half; k <= half; k += 1) {
      const i = j * factor + k;
      if (i >= 0 && i <= last) sum += taps[half + k] * x[i];
      else if (beyond === 'repeat') sum += taps[half + k] * x[i < 0 ? 0 : last];
    }
    return sum;
  });
}

/** Windowed sinc with its cut-off at the slow rate's half, gain 1 for a constant. */
function lowPassTaps(factor: number): Float64Array {
  const half = TAPS_A_SIDE * factor;
  const taps = Float64Array.from({ length: 2 * half + 1 }, (_, i) => {
    const t = i - half;
    const sinc = t === 0 ? 1 : Math.sin((Math.PI * t) / factor) / ((Math.PI * t) / factor);
    return sinc * besselI0(KAISER_BETA * Math.sqrt(1 - (t / half) ** 2));
  });
  const gain = taps.reduce((sum, tap) => sum + tap, 0);
  return taps.map((tap) => tap / gain);
}

/** Modified Bessel function of order 0 by its power series: Abramowitz & Stegun 9.6.10. */
function besselI0(x: number): number {
  let term = 1;
  let sum = 1;
  for (let k = 1; term > sum * 1e-17; k += 1) {
    term *= (x / 2 / k) ** 2;
    sum += term;
  }
  return sum;
}
