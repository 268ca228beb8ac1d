/** Finds samples by their time. */

/** First index whose time is at or after `time_s`; the length when there is none. */
export function indexAt(times_s: Float64Array, time_s: number): number {
  let low = 0;
  let high = times_s.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times_s[middle] < time_s) low = middle + 1;
    else high = middle;
  }
  return low;
}
