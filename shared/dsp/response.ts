/** What a filter does to a sine of one frequency. */
import type { Section } from './section.ts';

/** Gain and phase of one causal pass; the zero-phase filter has the square of the gain and no phase. */
export function response(
  sections: readonly Section[],
  frequency_Hz: number,
  rate_Hz: number,
): { readonly gain: number; readonly phase_rad: number } {
  const w = (2 * Math.PI * frequency_Hz) / rate_Hz;
  let gain = 1;
  let phase_rad = 0;
  for (const { b0, b1, b2, a1, a2 } of sections) {
    const above = polynomial(b0, b1, b2, w);
    const below = polynomial(1, a1, a2, w);
    gain *= above.size / below.size;
    phase_rad += above.angle - below.angle;
  }
  return { gain, phase_rad };
}

/** c0 + c1 z^-1 + c2 z^-2 on the unit circle. */
function polynomial(
  c0: number,
  c1: number,
  c2: number,
  w: number,
): { size: number; angle: number } {
  const re = c0 + c1 * Math.cos(w) + c2 * Math.cos(2 * w);
  const im = -c1 * Math.sin(w) - c2 * Math.sin(2 * w);
  return { size: Math.hypot(re, im), angle: Math.atan2(im, re) };
}
