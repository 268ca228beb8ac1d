/**
 * Savitzky-Golay: the polynomial that fits a window best, and its value or derivative at one sample.
 * Any odd window, order and derivative. Ends use the first and last window's own polynomial.
 * Source: Savitzky & Golay 1964, Anal Chem 36:1627; general ends by Gorry 1990, Anal Chem 62:570.
 */
import { betweenGaps } from './between-gaps.ts';

export interface SavitzkyGolayDesign {
  /** Samples in the window, odd, above the order. */
  readonly window: number;
  readonly order: number;
  /** 0 smooths, 1 gives the change a second, 2 the change of that. */
  readonly derivative: number;
  readonly rate_Hz: number;
}

/** As scipy.signal.savgol_filter(mode='interp'); a stretch shorter than the window gives NaN. */
export function savitzkyGolay(x: Float64Array, design: SavitzkyGolayDesign): Float64Array {
  const { window } = design;
  const half = (window - 1) / 2;
  const weights = Array.from({ length: window }, (_, k) => windowWeights(design, k - half));
  const out = new Float64Array(x.length);
  betweenGaps(x, out, (from, to) => {
    const n = from.length;
    if (n < window) {
      to.fill(Number.NaN);
      return;
    }
    convolve(from, to, weights[half], design.derivative % 2 === 0 ? 1 : -1);
    for (let k = 0; k < half; k += 1) {
      to[k] = weighted(from, 0, weights[k]);
      to[n - 1 - k] = weighted(from, n - window, weights[window - 1 - k]);
    }
  });
  return out;
}

/**
 * Weights of a window's samples for the value at `position`, counted in samples from its middle.
 * Sum over the discrete orthogonal polynomials P of the window: P(i) P'(position) / |P|^2.
 */
export function windowWeights(design: SavitzkyGolayDesign, position: number): Float64Array {
  const { window, order, derivative, rate_Hz } = design;
  if (window % 2 !== 1 || order >= window || order < 0 || derivative < 0) {
    throw new RangeError(`no polynomial of order ${order} in a window of ${window}`);
  }
  const half = (window - 1) / 2;
  const weights = new Float64Array(window);
  let previous = new Float64Array(window);
  let present = new Float64Array(window).fill(1);
  let previousAt = new Float64Array(derivative + 1);
  let presentAt = new Float64Array(derivative + 1);
  presentAt[0] = 1;
  let previousNorm = 1;
  for (let k = 0; k <= order; k += 1) {
    const norm = present.reduce((sum, p) => sum + p * p, 0);
    const share = presentAt[derivative] / norm;
    for (let i = 0; i < window; i += 1) weights[i] += present[i] * share;
    const ratio = k === 0 ? 0 : norm / previousNorm;
    const next = present.map((p, i) => (i - half) * p - ratio * previous[i]);
    const nextAt = presentAt.map(
      (p, d) => position * p + (d > 0 ? d * presentAt[d - 1] : 0) - ratio * previousAt[d],
    );
    [previous, present, previousNorm] = [present, next, norm];
    [previousAt, presentAt] = [presentAt, nextAt];
  }
  const perSecond = rate_Hz ** derivative;
  return weights.map((weight) => weight * perSecond);
}

/** Weights around the middle mirror each other, `side` times: samples are paired before multiplying. */
function convolve(x: Float64Array, out: Float64Array, weights: Float64Array, side: 1 | -1): void {
  const half = (weights.length - 1) / 2;
  for (let i = half; i < x.length - half; i += 1) {
    let sum = weights[half] * x[i];
    for (let k = 1; k <= half; k += 1) sum += weights[half + k] * (x[i + k] + side * x[i - k]);
    out[i] = sum;
  }
}

function weighted(x: Float64Array, first: number, weights: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < weights.length; k += 1) sum += weights[k] * x[first + k];
  return sum;
}
