/** Samples that arrived and are not on the disk, as ranges of the stream's index. */
import type { LostRange } from './documents.ts';

/** In order, those that touch and share a reason as one. */
export function joinedRanges(ranges: readonly LostRange[]): LostRange[] {
  const joined: LostRange[] = [];
  for (const range of ranges.toSorted((a, b) => a.fromIndex - b.fromIndex)) {
    const last = joined.at(-1);
    if (last?.toIndex === range.fromIndex && last.reason === range.reason) {
      last.toIndex = range.toIndex;
    } else joined.push({ ...range });
  }
  return joined;
}
