/** The trust record of a recording, out of its documents, its wiring and its results. */
import type { AnalysisDocument, Signal } from '../../shared/analysis-types.ts';
import { trustRecord, type TrustRecord } from '../../shared/trust/trust.ts';
import { wiredAs } from '../store/columns.ts';
import { extentOf, readSamples } from '../store/read-blocks.ts';
import type { Recording } from '../store/recording.ts';

/** Arrivals come in bursts of some milliseconds: below this the rate would be told by their luck. */
const SHORTEST_RATE_s = 10;

/** `recording` is the assigned one; `signal` and `document` are null where it cannot be analysed. */
export function trustOf(
  recording: Recording,
  signal: Signal | null,
  document: Pick<AnalysisDocument, 'phases'> | null,
): TrustRecord {
  const { id, start, stop, files, events } = recording;
  const format = files[0]?.header.format ?? null;
  const wired = format && wiredAs(start, format);
  return trustRecord({
    ...{ recording: id, start, stop, signal },
    integrity: format?.integrity ?? 'unknown',
    rate_Hz: format?.rate_Hz ?? null,
    measuredRate_Hz: measuredRate_Hz(recording),
    columns: wired && 'plan' in wired ? wired.plan.columns : [],
    tares: events.flatMap(({ kind, detail }) => {
      const zero = detail['zero_Nm'];
      return kind === 'tare' && typeof zero === 'number' ? [zero] : [];
    }),
    phases: document?.phases ?? [],
  });
}

/** Samples between the first and the last block against the host's clock; null when that is too short. */
function measuredRate_Hz({ files }: Recording): number | null {
  const [first, last] = [files[0], files.at(-1)];
  const end = last && extentOf(last)?.toIndex;
  if (first === undefined || last === undefined || end === undefined) return null;
  const [opening] = readSamples([first]);
  const [closing] = readSamples([last], { fromIndex: end - 1, toIndex: end });
  if (opening === undefined || closing === undefined) return null;
  const seconds = (closing.arrival_ns - opening.arrival_ns) / 1e9;
  if (!(seconds >= SHORTEST_RATE_s)) return null;
  return (closing.index + closing.n - (opening.index + opening.n)) / seconds;
}
