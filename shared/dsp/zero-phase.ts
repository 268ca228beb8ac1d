/**
 * A filter run forward and backward, so that nothing is moved in time. For finished samples only.
 * Ends are continued by odd reflection, as scipy.signal.sosfiltfilt does by default.
 */
import { betweenGaps } from './between-gaps.ts';
import { cascade, restart, sweep, type Cascade, type Section } from './section.ts';

/**
 * Every stretch between missing samples is filtered by itself. `out` may be `x`.
 * A stretch shorter than the continuation is continued by what it has; one sample stays as it is.
 * `padding`: samples of the continuation, by default as few as scipy's.
 */
export function zeroPhase(
  sections: readonly Section[],
  x: Float64Array,
  out: Float64Array = new Float64Array(x.length),
  padding = paddingOf(sections),
): Float64Array {
  const filter = cascade(sections);
  betweenGaps(x, out, (from, to) => {
    forwardBackward(filter, padding, from, to);
  });
  return out;
}

/** Samples added at each end: three times the filter's taps, scipy 1.10 sosfiltfilt. */
function paddingOf(sections: readonly Section[]): number {
  const firstOrder = Math.min(
    sections.filter((section) => section.b2 === 0).length,
    sections.filter((section) => section.a2 === 0).length,
  );
  return 3 * (2 * sections.length + 1 - firstOrder);
}

function forwardBackward(
  filter: Cascade,
  longest: number,
  x: Float64Array,
  out: Float64Array,
): void {
  const n = x.length;
  const padding = Math.min(longest, n - 1);
  const before = new Float64Array(padding);
  const after = new Float64Array(padding);
  for (let k = 0; k < padding; k += 1) {
    before[k] = 2 * x[0] - x[padding - k];
    after[k] = 2 * x[n - 1] - x[n - 2 - k];
  }
  restart(filter);
  sweep(filter, before, before, padding);
  sweep(filter, x, out, n);
  sweep(filter, after, after, padding);
  restart(filter);
  sweep(filter, after.reverse(), after, padding);
  sweep(filter, out.reverse(), out, n);
  out.reverse();
}
