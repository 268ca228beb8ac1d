/**
 * Checks every byte of a recording against its checksums and its closing manifest, and puts what is
 * wrong into words with its place in the file and in time. It changes nothing.
 */
import { presentRuns } from '../../shared/record/block-codec.ts';
import { createRunCounter } from '../../shared/record/run-counter.ts';
import { soundBlocks } from './read-blocks.ts';
import { recordingClock } from './recording-clock.ts';
import { openRecording } from './recording.ts';
import { survey } from './survey.ts';
import { documentFindings, manifestFindings, manifestNotes } from './verify-documents.ts';
import { streamFindings } from './verify-streams.ts';

/** One thing that is wrong. Ranges are half-open; null where there is no such number. */
export interface Finding {
  readonly file: string;
  readonly fromByte: number | null;
  readonly toByte: number | null;
  /** Indices of the stream between which samples may be lost. */
  readonly fromIndex: number | null;
  readonly toIndex: number | null;
  /** Seconds since the recording's first sample. */
  readonly start_s: number | null;
  readonly end_s: number | null;
  /** Samples that cannot be read any more, at most. */
  readonly lostSamples: number;
  readonly message: string;
}

export interface VerifyReport {
  readonly id: string;
  readonly folder: string;
  readonly isSound: boolean;
  /** How it was closed; null when it was not, or its closing document is damaged. */
  readonly closed: 'complete' | 'recovered' | 'repaired' | null;
  readonly blocks: number;
  readonly damagedBlocks: number;
  readonly samples: number;
  readonly lostSamples: number;
  readonly missing: number;
  readonly gaps: number;
  /** Of what can be read. */
  readonly firstIndex: number;
  readonly endIndex: number;
  readonly duration_s: number;
  readonly findings: readonly Finding[];
  /** What a person should know though nothing is damaged. */
  readonly notes: readonly string[];
}

/** Throws only when the folder itself cannot be read. */
export function verifyRecording(folder: string): VerifyReport {
  const recording = openRecording(folder);
  const surveyed = recording.files.map((file) => ({ file, survey: survey(file) }));
  const runs: { first: number; end: number }[] = [];
  const counter = createRunCounter((first, end) => runs.push({ first, end }));
  for (const { file, head, bytes } of soundBlocks(recording.files)) {
    presentRuns(bytes, head, file.header.layout, (first, end) => {
      counter.run(head.index + first, head.index + end);
    });
  }
  counter.end();
  const clock = recordingClock(recording);
  const streams = surveyed.map((one) => streamFindings({ recording, runs, clock, ...one }));
  const findings = [
    ...documentFindings(recording),
    ...streams.flatMap((stream) => stream.findings),
    ...manifestFindings(recording, surveyed, counter.samples),
  ];
  const bad = surveyed.flatMap((one) => one.survey.bad);
  const { samples, missing, gaps, firstIndex, endIndex } = counter;
  return {
    id: recording.id,
    folder,
    isSound: findings.length === 0,
    closed: recording.stop?.status ?? null,
    blocks: surveyed.reduce((sum, one) => sum + one.survey.summary.blocks, 0),
    damagedBlocks: bad.reduce((sum, { blocks }) => sum + blocks, 0),
    samples,
    lostSamples: findings.reduce((sum, finding) => sum + finding.lostSamples, 0),
    missing,
    gaps,
    firstIndex,
    endIndex,
    duration_s: samples === 0 ? 0 : clock(endIndex),
    findings,
    notes: [...streams.flatMap(({ notes }) => notes), ...manifestNotes(recording)],
  };
}
