/** Seconds since a recording's first sample for any index of its stream, over changes of the rate. */
import { extentOf } from './read-blocks.ts';
import { firstIndexOf, type Recording } from './recording.ts';

export type IndexClock = (index: number) => number;

interface Span {
  readonly fromIndex: number;
  readonly from_s: number;
  readonly rate_Hz: number;
}

export function indexClock(recording: Recording): IndexClock {
  const spans: Span[] = [];
  for (const file of recording.files) {
    const fromIndex = extentOf(file)?.fromIndex;
    if (fromIndex === undefined) continue;
    const { rate_Hz } = file.header.format;
    const last = spans.at(-1);
    if (last?.rate_Hz === rate_Hz) continue;
    const from_s = last === undefined ? 0 : at(last, fromIndex);
    const first = last === undefined ? (firstIndexOf(recording) ?? fromIndex) : fromIndex;
    spans.push({ fromIndex: first, from_s, rate_Hz });
  }
  return (index) => {
    const span = spans.findLast(({ fromIndex }) => fromIndex <= index) ?? spans[0];
    return span === undefined ? 0 : at(span, index);
  };
}

function at({ fromIndex, from_s, rate_Hz }: Span, index: number): number {
  return from_s + (index - fromIndex) / rate_Hz;
}
