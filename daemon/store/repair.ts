/**
 * A sound copy of a damaged recording, in a folder beside it: every block, event and document that can
 * be believed, and a closing manifest that states what could not. The original is only read.
 */
import { existsSync, readdirSync, statSync } from 'node:fs';
import { copyFile, mkdir, open } from 'node:fs/promises';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { stampPlace } from '../../shared/record/block-codec.ts';
import type { LostRange, SegmentSummary, StopDocument } from '../../shared/record/documents.ts';
import { encodeHeader } from '../../shared/record/file-header.ts';
import { joinedRanges } from '../../shared/record/lost-ranges.ts';
import { README_TEXT } from '../../shared/record/readme-text.ts';
import { sealDocument, sealLine } from '../../shared/record/sealed-json.ts';
import { RECORDING_VERSION } from '../../shared/record/version.ts';
import { replaceFile, syncFolder } from '../platform.ts';
import {
  EDITS_FILE,
  eventsFile,
  isUndecodedFile,
  README_FILE,
  START_FILE,
  STOP_FILE,
} from './file-names.ts';
import { fileSummary } from './file-summary.ts';
import { soundBlocks } from './read-blocks.ts';
import { firstIndexOf, openRecording, type Recording } from './recording.ts';
import { openStreamFile, type StreamFile } from './stream-file.ts';
import { survey } from './survey.ts';
import { verifyRecording, type VerifyReport } from './verify.ts';

/** Bytes gathered before they are written. */
const WRITE_BYTES = 1 << 20;

/** Gives the folder of the copy, whose name is the original's and `-repaired`. `now` is the wall clock. */
export async function repairRecording(folder: string, now: Date): Promise<string> {
  const recording = openRecording(folder);
  const report = verifyRecording(folder);
  const copy = freeName(`${folder}-repaired`);
  await mkdir(copy, { mode: 0o700 });
  if (recording.start !== null) {
    await replaceFile(join(copy, START_FILE), sealDocument(recording.start, crc32));
  }
  await replaceFile(join(copy, README_FILE), Buffer.from(README_TEXT, 'latin1'));
  const lines = recording.events.map((event) => sealLine(event, crc32));
  await replaceFile(join(copy, eventsFile(0)), Buffer.concat(lines));
  const copied = readdirSync(folder).filter((name) => isUndecodedFile(name) || name === EDITS_FILE);
  for (const name of copied) await copyFile(join(folder, name), join(copy, name));
  const segments: SegmentSummary[] = [];
  for (const file of recording.files) segments.push(await copySoundBlocks(file, copy));
  const undecoded = copied.filter(isUndecodedFile);
  const files = [START_FILE, README_FILE, eventsFile(0), ...undecoded]
    .filter((name) => existsSync(join(copy, name)))
    .map((name) => fileSummary(copy, name));
  const undecodedBytes = undecoded.reduce((sum, name) => sum + statSync(join(copy, name)).size, 0);
  const stop = { ...closingDocument(recording, report, now), segments, files, undecodedBytes };
  await replaceFile(join(copy, STOP_FILE), sealDocument(stop, crc32));
  await syncFolder(copy);
  return copy;
}

function closingDocument(
  recording: Recording,
  report: VerifyReport,
  now: Date,
): Omit<StopDocument, 'segments' | 'files' | 'undecodedBytes'> {
  const { id, start, stop, events } = recording;
  const damaged: LostRange[] = report.findings.flatMap(({ fromIndex, toIndex, lostSamples }) =>
    fromIndex === null || toIndex === null || lostSamples === 0
      ? []
      : [{ fromIndex, toIndex, reason: 'damaged in the original' }],
  );
  return {
    document: 'stop',
    version: RECORDING_VERSION,
    id: start?.id ?? id,
    status: 'repaired',
    reason: `sound copy of ${id}, which is damaged`,
    stoppedAt: now.toISOString(),
    samples: report.samples,
    missing: report.missing,
    gaps: report.gaps,
    firstIndex: firstIndexOf(recording) ?? report.firstIndex,
    endIndex: report.endIndex,
    events: events.length,
    lost: joinedRanges([...(stop?.lost ?? []), ...damaged]),
    torn: [],
  };
}

/** The blocks get new places, since those between them are gone; nothing else of them changes. */
async function copySoundBlocks(file: StreamFile, folder: string): Promise<SegmentSummary> {
  const path = join(folder, file.name);
  const { header } = file;
  const target = await open(path, 'wx', 0o600);
  try {
    let parts: Uint8Array[] = [encodeHeader(header, crc32)];
    let size = 0;
    let sequence = 0;
    for (const { bytes } of soundBlocks([file])) {
      const block = bytes.slice();
      stampPlace(block, { nonce: header.nonce, sequence }, crc32);
      parts.push(block);
      sequence += 1;
      size += block.length;
      if (size < WRITE_BYTES) continue;
      await target.writeFile(Buffer.concat(parts));
      parts = [];
      size = 0;
    }
    await target.writeFile(Buffer.concat(parts));
    await target.sync();
  } finally {
    await target.close();
  }
  const written = openStreamFile(path, null);
  if ('trouble' in written) throw new Error(`the copy cannot be read: ${written.trouble}`);
  return survey(written).summary;
}

function freeName(wanted: string): string {
  for (let k = 1; ; k += 1) {
    const name = k === 1 ? wanted : `${wanted}-${k}`;
    if (!existsSync(name)) return name;
  }
}
