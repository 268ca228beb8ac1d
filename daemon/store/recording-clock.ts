/** The index clock of an opened recording. */
import {
  createIndexClock,
  type IndexClock,
  type RatedSpan,
} from '../../shared/record/index-clock.ts';
import { extentOf } from './read-blocks.ts';
import { firstIndexOf, type Recording } from './recording.ts';

export function recordingClock(recording: Recording): IndexClock {
  const spans: RatedSpan[] = recording.files.flatMap((file) => {
    const extent = extentOf(file);
    if (extent === null) return [];
    const { fromIndex: firstIndex, toIndex: endIndex } = extent;
    return [{ firstIndex, endIndex, rate_Hz: file.header.format.rate_Hz }];
  });
  return createIndexClock(spans, firstIndexOf(recording) ?? spans[0]?.firstIndex ?? 0);
}
