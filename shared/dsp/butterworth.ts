/**
 * Butterworth filters as second-order sections, by the bilinear transform with the cut-off pre-warped.
 * Sections are arranged as scipy.signal.butter(output='sos') does: all gain in the first, flattest first.
 */
import type { Section } from './section.ts';

export interface ButterworthDesign {
  /** Order of one pass, 1 or more; an odd order has one first-order section. */
  readonly order: number;
  /** Frequency at which the passes together leave 1/sqrt(2) of the amplitude; 0 to half the rate. */
  readonly cutOff_Hz: number;
  readonly rate_Hz: number;
  /** How often the filter runs over the samples: 2 for the zero-phase filter, 1 for a causal one. */
  readonly passes: 1 | 2;
}

/**
 * Share of the cut-off at which each of `passes` identical filters must lie above it, low-pass:
 * C = (2^(1/p) - 1)^(1/(2n)). Source: Robertson & Dowling 2003, J Electromyogr Kinesiol 13:569.
 */
export function passCorrection(order: number, passes: number): number {
  return (2 ** (1 / passes) - 1) ** (1 / (2 * order));
}

/** Throws a RangeError when the cut-off is not between 0 and half the rate. */
export function butterworthLowPass(design: ButterworthDesign): Section[] {
  const warped = prewarp(design.cutOff_Hz, design.rate_Hz);
  return sections(design.order, warped / passCorrection(design.order, design.passes), 1);
}

/** As the low-pass, mirrored: the correction moves each pass below the cut-off. */
export function butterworthHighPass(design: ButterworthDesign): Section[] {
  const warped = prewarp(design.cutOff_Hz, design.rate_Hz);
  return sections(design.order, warped * passCorrection(design.order, design.passes), -1);
}

/** W = tan(pi fc / fs): the correction multiplies W itself, so that the gain at fc is exact. */
function prewarp(cutOff_Hz: number, rate_Hz: number): number {
  if (!(cutOff_Hz > 0 && cutOff_Hz < rate_Hz / 2)) {
    throw new RangeError(`cut-off ${cutOff_Hz} Hz is not between 0 and half of ${rate_Hz} Hz`);
  }
  return Math.tan((Math.PI * cutOff_Hz) / rate_Hz);
}

/** `side` 1 puts the zeros at half the rate (low-pass), -1 at zero (high-pass). */
function sections(order: number, warped: number, side: 1 | -1): Section[] {
  const designed: Section[] = [];
  let gain = 1;
  if (order % 2 === 1) {
    gain *= (side === 1 ? warped : 1) / (1 + warped);
    designed.push({ b0: 1, b1: side, b2: 0, a1: (warped - 1) / (warped + 1), a2: 0 });
  }
  for (let k = Math.floor(order / 2) - 1; k >= 0; k -= 1) {
    const damping = 2 * Math.sin((Math.PI * (2 * k + 1)) / (2 * order)) * warped;
    const square = warped * warped;
    const norm = 1 + damping + square;
    gain *= (side === 1 ? square : 1) / norm;
    const [a1, a2] = [(2 * (square - 1)) / norm, (1 - damping + square) / norm];
    designed.push({ b0: 1, b1: 2 * side, b2: 1, a1, a2 });
  }
  const [first, ...others] = designed;
  if (first === undefined) throw new RangeError(`order ${order} is not 1 or more`);
  return [{ ...first, b0: gain, b1: first.b1 * gain, b2: first.b2 * gain }, ...others];
}
