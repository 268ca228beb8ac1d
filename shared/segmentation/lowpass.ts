/**
 * The recipe's low-pass over a column: zero-phase, stretch by stretch, on even samples.
 * A cut-off at or above 45 % of the rate leaves the column as it is: there is nothing above it to remove.
 */
import { butterworthLowPass } from '../dsp/butterworth.ts';
import { zeroPhase } from '../dsp/zero-phase.ts';
import type { Recipe } from '../recipe/recipe.ts';
import type { Span } from './stretches.ts';

/** Order of one pass; two passes make it four. */
const ORDER = 2;
const MOST_SHARE_OF_RATE = 0.45;
/**
 * Ends are continued by this many periods of the cut-off, so that a movement that a hole cuts keeps its
 * speed up to the edge: the usual 15 samples bend the last 50 ms at 1 kHz and 10 Hz.
 */
const PERIODS_CONTINUED = 2;
/** Steps may differ from the nominal one by this share and still be taken as even. */
const EVEN = 0.25;

export interface Lowpass {
  readonly rate_Hz: number;
  /** Null: the column as it is. */
  readonly cutOff_Hz: number | null;
  readonly dualPass: Recipe['conditioning']['dualPass'];
  /** Largest distance of a step from the nominal one, as a share of it. */
  readonly unevenness: number;
}

/** Filters `x` into `out` (which may be `x`) within each span; samples outside are left alone. */
export function lowpass(
  x: Float64Array,
  time_s: Float64Array,
  spans: readonly Span[],
  design: Lowpass,
  out: Float64Array,
): void {
  const { rate_Hz, cutOff_Hz } = design;
  if (cutOff_Hz === null || cutOff_Hz >= MOST_SHARE_OF_RATE * rate_Hz) {
    if (out !== x) for (const { first, end } of spans) out.set(x.subarray(first, end), first);
    return;
  }
  const passes = design.dualPass === 'corrected' ? 2 : 1;
  const sections = butterworthLowPass({ order: ORDER, cutOff_Hz, rate_Hz, passes });
  const padding = Math.ceil((PERIODS_CONTINUED * rate_Hz) / cutOff_Hz);
  for (const { first, end } of spans) {
    const from = x.subarray(first, end);
    const to = out.subarray(first, end);
    const stamps = time_s.subarray(first, end);
    if (design.unevenness <= EVEN) zeroPhase(sections, from, to, padding);
    else {
      filterUneven(from, stamps, to, (even) => zeroPhase(sections, even, even, padding), rate_Hz);
    }
  }
}

/** Through even samples at the nominal rate and back to the stamps, both by straight lines. */
function filterUneven(
  x: Float64Array,
  time_s: Float64Array,
  out: Float64Array,
  filter: (even: Float64Array) => void,
  rate_Hz: number,
): void {
  const start_s = time_s[0];
  const n = Math.floor((time_s[time_s.length - 1] - start_s) * rate_Hz) + 2;
  const even = new Float64Array(n);
  let k = 0;
  for (let i = 0; i < n; i += 1) {
    const t = start_s + i / rate_Hz;
    while (k < time_s.length - 2 && time_s[k + 1] < t) k += 1;
    even[i] = lineAt(x[k], x[k + 1] ?? x[k], (t - time_s[k]) / (time_s[k + 1] - time_s[k] || 1));
  }
  filter(even);
  for (let i = 0; i < time_s.length; i += 1) {
    const at = (time_s[i] - start_s) * rate_Hz;
    const left = Math.min(n - 2, Math.floor(at));
    out[i] = Number.isFinite(x[i]) ? lineAt(even[left], even[left + 1], at - left) : Number.NaN;
  }
}

function lineAt(a: number, b: number, share: number): number {
  return a + (b - a) * Math.min(1, share);
}
