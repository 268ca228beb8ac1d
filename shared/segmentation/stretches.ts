/**
 * Stretches: runs of samples without a hole in time. Nothing is filtered, differentiated or searched
 * across a hole; what to do about one is decided where it matters.
 */
import type { Signal } from '../analysis-types.ts';

/** Half-open span of sample indices. */
export interface Span {
  readonly first: number;
  readonly end: number;
}

/** What one look at the time stamps tells. */
export interface Clock {
  readonly stretches: readonly Span[];
  /** Largest distance of a step inside a stretch from the nominal one, as a share of it. */
  readonly unevenness: number;
}

/** A step longer than `hole_factor` usual ones begins a new stretch. */
export function clockOf(
  { time_s, rate_Hz }: Pick<Signal, 'time_s' | 'rate_Hz'>,
  hole_factor: number,
): Clock {
  const longest_s = hole_factor / rate_Hz;
  const stretches: Span[] = [];
  let first = 0;
  let [shortest, longest] = [Infinity, 0];
  let before = time_s[0];
  for (let i = 1; i < time_s.length; i += 1) {
    const here = time_s[i];
    const step = here - before;
    before = here;
    if (step > longest_s) {
      stretches.push({ first, end: i });
      first = i;
    } else {
      if (step < shortest) shortest = step;
      if (step > longest) longest = step;
    }
  }
  if (time_s.length > first) stretches.push({ first, end: time_s.length });
  const share = (step: number) => Math.abs(step * rate_Hz - 1);
  return { stretches, unevenness: longest > 0 ? Math.max(share(shortest), share(longest)) : 0 };
}

/** The parts of the stretches that lie inside the span. */
export function stretchesWithin(stretches: readonly Span[], span: Span): Span[] {
  const parts: Span[] = [];
  for (let k = stretchAt(stretches, span.first); k < stretches.length; k += 1) {
    const first = Math.max(span.first, stretches[k].first);
    const end = Math.min(span.end, stretches[k].end);
    if (stretches[k].first >= span.end) break;
    if (end > first) parts.push({ first, end });
  }
  return parts;
}

/** Number of the stretch that holds the sample. */
export function stretchAt(stretches: readonly Span[], sample: number): number {
  let low = 0;
  let high = stretches.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (stretches[middle].first <= sample) low = middle;
    else high = middle - 1;
  }
  return low;
}
