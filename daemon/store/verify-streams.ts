/** What is wrong with a stream file, block by block: where in the file, when, and what it costs. */
import type { BlockTrouble } from '../../shared/record/block-codec.ts';
import type { SegmentSummary } from '../../shared/record/documents.ts';
import type { IndexClock } from '../../shared/record/index-clock.ts';
import type { Recording } from './recording.ts';
import type { StreamFile } from './stream-file.ts';
import type { BadStretch, Survey } from './survey.ts';
import type { Finding } from './verify.ts';

export interface StreamToCheck {
  readonly recording: Recording;
  readonly file: StreamFile;
  readonly survey: Survey;
  /** Where sound samples are, over all files, in rising order. */
  readonly runs: readonly { readonly first: number; readonly end: number }[];
  readonly clock: IndexClock;
}

const WORDS: Readonly<Record<BlockTrouble, (blocks: string) => string>> = {
  cutShort: (blocks) => `${blocks} cut short`,
  zeros: (blocks) => `nothing but zeros in the place of ${blocks}`,
  head: (blocks) => `the head of ${blocks} is damaged`,
  place: (blocks) => `${blocks} from another place or another file`,
  payload: (blocks) => `the samples of ${blocks} are damaged`,
};

export function streamFindings(stream: StreamToCheck): {
  readonly findings: readonly Finding[];
  readonly notes: readonly string[];
} {
  const { recording, file, survey } = stream;
  const closed = recording.stop?.segments.find(({ name }) => name === file.name);
  const isAsClosed = closed?.sha256 === survey.summary.sha256;
  const findings: Finding[] = [];
  const notes: string[] = [];
  const isCut = closed !== undefined && file.bytes < closed.bytes;
  for (const bad of survey.bad) {
    if (isCut && bad.toIndex === null) continue;
    const finding = findingOf(bad, stream, closed);
    // A file that was left after a write error: what is unfinished in it stands in the next one.
    if (finding.lostSamples > 0 || !isAsClosed) findings.push(finding);
    else notes.push(`${file.name}: ${finding.message}; the same samples stand in the next file`);
  }
  if (isCut) findings.push(earlyEnd(stream, closed));
  return { findings, notes };
}

function findingOf(
  bad: BadStretch,
  { recording, file, runs, clock }: StreamToCheck,
  closed: SegmentSummary | undefined,
): Finding {
  const firstOfFile = recording.events.find(({ detail }) => isHeadOf(detail, file));
  const from = bad.fromIndex ?? closed?.firstIndex ?? firstOfFile?.at ?? null;
  const to = bad.toIndex ?? closed?.endIndex ?? null;
  const most = bad.blocks * file.header.layout.capacity;
  const unread = from === null || to === null ? most : to - from - present(runs, from, to);
  const lostSamples = Math.max(Math.min(unread, most), 0);
  const blocks = bad.blocks === 1 ? 'one block' : `${bad.blocks} blocks`;
  const cost = lostSamples === 0 ? '' : `; at most ${lostSamples} samples lost`;
  return {
    file: file.name,
    fromByte: bad.fromByte,
    toByte: bad.toByte,
    fromIndex: from,
    toIndex: to,
    start_s: from === null ? null : clock(from),
    end_s: to === null ? null : clock(to),
    lostSamples,
    message: WORDS[bad.trouble](blocks) + cost,
  };
}

/** A file that is shorter than when it was closed, wherever it was cut. */
function earlyEnd({ file, survey, runs, clock }: StreamToCheck, closed: SegmentSummary): Finding {
  const { soundBytes, summary } = survey;
  const from = summary.samples > 0 ? summary.endIndex : closed.firstIndex;
  const to = closed.endIndex;
  const unread = Math.max(to - from - present(runs, from, to), 0);
  const lostSamples = Math.min(unread, closed.samples - summary.samples);
  return {
    file: file.name,
    fromByte: Math.min(soundBytes, file.bytes),
    toByte: closed.bytes,
    fromIndex: from,
    toIndex: to,
    start_s: clock(from),
    end_s: clock(to),
    lostSamples,
    message: `it ends ${closed.bytes - file.bytes} bytes early; at most ${lostSamples} samples lost`,
  };
}

function isHeadOf(detail: Readonly<Record<string, unknown>>, file: StreamFile): boolean {
  const head = detail['head'];
  return (
    typeof head === 'object' && head !== null && 'nonce' in head && head.nonce === file.header.nonce
  );
}

function present(runs: StreamToCheck['runs'], from: number, to: number): number {
  return runs.reduce(
    (sum, { first, end }) => sum + Math.max(Math.min(end, to) - Math.max(first, from), 0),
    0,
  );
}
