/**
 * The methods that the reference data were computed with, put together from the product's own parts, and
 * the tolerance of a printed number: half a unit of its last digit.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { butterworthLowPass } from '../../shared/dsp/butterworth.ts';
import { zeroPhase } from '../../shared/dsp/zero-phase.ts';
import { REFERENCE_DATA } from './reference-data.ts';

/** scipy.signal.butter(2, N) with sosfiltfilt, its default padding, no correction of the cut-off. */
export function lowPassed(x: Float64Array, cutOff_Hz: number, rate_Hz: number): Float64Array {
  return zeroPhase(butterworthLowPass({ order: 2, cutOff_Hz, rate_Hz, passes: 1 }), x);
}

/** Half a unit of the last digit that the reference prints. */
export function halfUnit(digits: number): number {
  return 0.5000001 * 10 ** -digits;
}

export function referenceJson(...path: string[]): unknown {
  return JSON.parse(readFileSync(join(REFERENCE_DATA, ...path), 'utf8')) as unknown;
}
