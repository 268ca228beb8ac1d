/** Moving median of an odd window, as scipy.signal.medfilt; what lies beyond an end is a choice. */
import { betweenGaps } from './between-gaps.ts';

export interface MedianDesign {
  readonly window: number;
  /** Beyond the ends of a stretch: zeros, as scipy has it, or the end sample again. */
  readonly beyond: 'zero' | 'repeat';
}

export function movingMedian(x: Float64Array, { window, beyond }: MedianDesign): Float64Array {
  if (window % 2 !== 1) throw new RangeError(`a median window of ${window} has no middle`);
  const half = (window - 1) / 2;
  const out = new Float64Array(x.length);
  betweenGaps(x, out, (from, to) => {
    const n = from.length;
    const at = (i: number): number => {
      if (i >= 0 && i < n) return from[i];
      return beyond === 'zero' ? 0 : from[i < 0 ? 0 : n - 1];
    };
    const sorted = Float64Array.from({ length: window }, (_, k) => at(k - half)).sort();
    for (let i = 0; i < n; i += 1) {
      to[i] = sorted[half];
      replace(sorted, at(i - half), at(i + half + 1));
    }
  });
  return out;
}

/** Takes one value out of a sorted window and puts another in, moving only those between the two. */
function replace(sorted: Float64Array, leaving: number, coming: number): void {
  let k = sorted.indexOf(leaving);
  while (k > 0 && sorted[k - 1] > coming) {
    sorted[k] = sorted[k - 1];
    k -= 1;
  }
  while (k < sorted.length - 1 && sorted[k + 1] < coming) {
    sorted[k] = sorted[k + 1];
    k += 1;
  }
  sorted[k] = coming;
}
