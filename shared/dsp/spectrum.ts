/**
 * Power spectral density by Welch's method, to see hum and noise.
 * Hann window, half overlap, each piece's mean removed, one-sided: scipy.signal.welch's defaults.
 * Source: Welch 1967, IEEE Trans Audio Electroacoust 15:70.
 */

export interface Spectrum {
  readonly frequency_Hz: Float64Array;
  /** Unit squared per Hz. */
  readonly density: Float64Array;
}

/** `pieceSamples` is a power of two. Pieces with a missing sample are left out; null when none is left. */
export function welch(x: Float64Array, rate_Hz: number, pieceSamples: number): Spectrum | null {
  if (2 ** Math.round(Math.log2(pieceSamples)) !== pieceSamples) {
    throw new RangeError(`${pieceSamples} samples are not a power of two`);
  }
  const half = pieceSamples / 2;
  const window = Float64Array.from({ length: pieceSamples }, (_, i) => {
    return 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / pieceSamples);
  });
  const density = new Float64Array(half + 1);
  let nPieces = 0;
  for (let first = 0; first + pieceSamples <= x.length; first += half) {
    const piece = x.slice(first, first + pieceSamples);
    const mean = piece.reduce((sum, v) => sum + v, 0) / pieceSamples;
    if (!Number.isFinite(mean)) continue;
    const re = piece.map((v, i) => (v - mean) * window[i]);
    const im = new Float64Array(pieceSamples);
    fourier(re, im);
    for (let k = 0; k <= half; k += 1) density[k] += re[k] ** 2 + im[k] ** 2;
    nPieces += 1;
  }
  if (nPieces === 0) return null;
  const scale = 1 / (rate_Hz * window.reduce((sum, w) => sum + w * w, 0) * nPieces);
  return {
    frequency_Hz: density.map((_, k) => (k * rate_Hz) / pieceSamples),
    density: density.map((power, k) => power * scale * (k === 0 || k === half ? 1 : 2)),
  };
}

/** Discrete Fourier transform in place, radix 2, decimation in time: Cooley & Tukey 1965. */
function fourier(re: Float64Array, im: Float64Array): void {
  const n = re.length;
  for (let i = 1, j = 0; i < n; i += 1) {
    let bit = n >> 1;
    for (; j & bit; bit >>= 1) j ^= bit;
    j ^= bit;
    if (i < j) [re[i], re[j]] = [re[j], re[i]];
    if (i < j) [im[i], im[j]] = [im[j], im[i]];
  }
  for (let length = 2; length <= n; length *= 2) {
    for (let k = 0; k < length / 2; k += 1) {
      const turn = (-2 * Math.PI * k) / length;
      const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
      for (let a = k; a < n; a += length) {
        const b = a + length / 2;
        const [bRe, bIm] = [re[b] * cos - im[b] * sin, re[b] * sin + im[b] * cos];
        [re[b], im[b]] = [re[a] - bRe, im[a] - bIm];
        [re[a], im[a]] = [re[a] + bRe, im[a] + bIm];
      }
    }
  }
}
