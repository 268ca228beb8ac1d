/**
 * Moves samples in time by part of a sample, to undo a channel's delay exactly.
 * The cubic through the four nearest samples: its gain is within 0.03 % up to a twentieth of the rate.
 */

/**
 * out[i] = x at i + `samples`; positive takes later samples, which undoes a delay. Whole shifts copy the
 * numbers bit for bit. Near an end or a hole the line between the two neighbours serves; beyond, NaN.
 */
export function advance(x: Float64Array, samples: number): Float64Array {
  const whole = Math.floor(samples);
  const part = samples - whole;
  const out = new Float64Array(x.length);
  const [w0, w1, w2, w3] = lagrange(part);
  for (let i = 0; i < out.length; i += 1) {
    const k = i + whole;
    const here = k >= 0 && k < x.length ? x[k] : Number.NaN;
    if (part === 0) {
      out[i] = here;
      continue;
    }
    const next = k + 1 >= 0 && k + 1 < x.length ? x[k + 1] : Number.NaN;
    const cubic =
      k > 0 && k + 2 < x.length
        ? w0 * x[k - 1] + w1 * here + w2 * next + w3 * x[k + 2]
        : Number.NaN;
    out[i] = Number.isFinite(cubic) ? cubic : here + part * (next - here);
  }
  return out;
}

/** Weights of the samples at -1, 0, 1, 2 for the value at t: Lagrange's formula, Abramowitz & Stegun 25.2.13. */
function lagrange(t: number): [number, number, number, number] {
  return [
    (-t * (t - 1) * (t - 2)) / 6,
    ((t + 1) * (t - 1) * (t - 2)) / 2,
    (-(t + 1) * t * (t - 2)) / 2,
    ((t + 1) * t * (t - 1)) / 6,
  ];
}
