/** What is wrong with a recording's documents, and with its files against the closing manifest. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { fileSummary } from './file-summary.ts';
import { STOP_FILE } from './file-names.ts';
import type { Recording } from './recording.ts';
import type { StreamFile } from './stream-file.ts';
import type { Survey } from './survey.ts';
import type { Finding } from './verify.ts';

export interface SurveyedFile {
  readonly file: StreamFile;
  readonly survey: Survey;
}

const NOT_CLOSED =
  'it is missing: the recording is still going on, or the program ended without closing it; ' +
  'the next start of the station closes it';

export function documentFindings(recording: Recording): Finding[] {
  const { folder, troubles, badLines } = recording;
  const findings = troubles.map(({ file, trouble, isCopied }) =>
    plain(file, isCopied ? `${trouble}; the copy in the events is used` : trouble),
  );
  for (const { file, fromByte, toByte } of badLines) {
    findings.push({ ...plain(file, 'a line is damaged: one event is lost'), fromByte, toByte });
  }
  if (!existsSync(join(folder, STOP_FILE))) findings.push(plain(STOP_FILE, NOT_CLOSED));
  return findings;
}

/** `samples` is what can be read from all files. Damage that its own file tells is not told again. */
export function manifestFindings(
  recording: Recording,
  surveyed: readonly SurveyedFile[],
  samples: number,
): Finding[] {
  const { stop, events } = recording;
  if (stop === null) return [];
  const findings = [...segmentFindings(recording, surveyed), ...fileFindings(recording)];
  for (const { file } of surveyed) {
    if (stop.segments.some(({ name }) => name === file.name)) continue;
    findings.push(plain(file.name, 'the closing document does not know this file'));
  }
  const isDamaged = findings.length > 0 || surveyed.some(({ survey }) => survey.bad.length > 0);
  if (!isDamaged && samples !== stop.samples) {
    const words = `it states ${stop.samples} samples, the files hold ${samples}`;
    findings.push(plain(STOP_FILE, words));
  }
  if (recording.badLines.length === 0 && events.length !== stop.events) {
    const words = `it states ${stop.events} events, the files hold ${events.length}`;
    findings.push(plain(STOP_FILE, words));
  }
  return findings;
}

export function manifestNotes({ stop }: Recording): string[] {
  if (stop === null) return [];
  const notes: string[] = [];
  for (const { fromIndex, toIndex, reason } of stop.lost) {
    notes.push(`samples ${fromIndex} to ${toIndex - 1} were not kept: ${reason}`);
  }
  for (const { name, from, bytes } of stop.torn) {
    notes.push(`${bytes} unfinished bytes at the end of ${from} were cut off and kept in ${name}`);
  }
  if (stop.status === 'recovered') notes.push(`closed by recovery: ${stop.reason}`);
  if (stop.undecodedBytes > 0) {
    notes.push(`${stop.undecodedBytes} bytes of the device could not be decoded`);
  }
  return notes;
}

function segmentFindings(
  { folder, stop, troubles }: Recording,
  surveyed: readonly SurveyedFile[],
): Finding[] {
  return (stop?.segments ?? []).flatMap((closed) => {
    const found = surveyed.find(({ file }) => file.name === closed.name);
    if (found === undefined) {
      if (troubles.some(({ file }) => file === closed.name)) return [];
      const words = existsSync(join(folder, closed.name)) ? 'it cannot be read' : 'it is missing';
      const lostSamples = closed.samples;
      return [{ ...plain(closed.name, `${words}: ${lostSamples} samples lost`), lostSamples }];
    }
    const { file, survey } = found;
    const isTold = survey.bad.length > 0 || file.headTrouble !== null || file.bytes < closed.bytes;
    if (isTold || survey.summary.sha256 === closed.sha256) return [];
    return [plain(closed.name, 'its blocks are sound, but it is not the file that was closed')];
  });
}

function fileFindings({ folder, stop, troubles, badLines }: Recording): Finding[] {
  const told = new Set([...troubles, ...badLines].map(({ file }) => file));
  return (stop?.files ?? []).flatMap((closed) => {
    if (told.has(closed.name)) return [];
    if (!existsSync(join(folder, closed.name))) return [plain(closed.name, 'it is missing')];
    const now = fileSummary(folder, closed.name);
    return now.sha256 === closed.sha256
      ? []
      : [plain(closed.name, 'it is not what it was when the recording was closed')];
  });
}

function plain(file: string, message: string): Finding {
  return {
    file,
    fromByte: null,
    toByte: null,
    fromIndex: null,
    toIndex: null,
    start_s: null,
    end_s: null,
    lostSamples: 0,
    message,
  };
}
