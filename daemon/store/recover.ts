/**
 * Closes a recording that a crash or a power cut left open. Its unfinished end is cut off and kept in
 * a file beside; everything else stays as it is, damage in the middle too. Running it twice is once.
 */
import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { open, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { setImmediate as othersTurn } from 'node:timers/promises';
import { crc32 } from 'node:zlib';
import { presentRuns } from '../../shared/record/block-codec.ts';
import type { StopDocument } from '../../shared/record/documents.ts';
import { createRunCounter, type RunCounter } from '../../shared/record/run-counter.ts';
import { sealDocument } from '../../shared/record/sealed-json.ts';
import { RECORDING_VERSION } from '../../shared/record/version.ts';
import { replaceFile } from '../platform.ts';
import { fileSummary } from './file-summary.ts';
import {
  isEventsFile,
  isStreamFile,
  isTornFile,
  isUndecodedFile,
  README_FILE,
  RESERVE_FILE,
  START_FILE,
  STOP_FILE,
  tornFile,
} from './file-names.ts';
import { lastSoundByte, soundBlocks } from './read-blocks.ts';
import { firstIndexOf, openRecording, type Recording } from './recording.ts';
import { scanBlocks, type StreamFile } from './stream-file.ts';
import { createSurveyor, type Survey } from './survey.ts';

/** Blocks between two turns for others: a few milliseconds of work. */
const BLOCKS_A_TURN = 2000;

/** Null when the recording has its end already. `now` is the wall clock. */
export async function recoverRecording(folder: string, now: Date): Promise<StopDocument | null> {
  if (existsSync(join(folder, STOP_FILE))) return null;
  const leftOver = readdirSync(folder).filter((name) => /^\..*\.tmp$/.test(name));
  for (const name of [RESERVE_FILE, ...leftOver]) await rm(join(folder, name), { force: true });
  await cutUnfinishedEnds(openRecording(folder));
  const recording = openRecording(folder);
  const surveys: Survey[] = [];
  for (const file of recording.files) surveys.push(await surveyInTurns(file));
  const stop = await closingDocument(recording, surveys, now);
  await replaceFile(join(folder, STOP_FILE), sealDocument(stop, crc32));
  return stop;
}

async function cutUnfinishedEnds({ folder, files, badLines }: Recording): Promise<void> {
  for (const file of files) {
    const end = lastSoundByte(file);
    if (end < file.bytes) await cut(file.path, end);
  }
  for (const { file, fromByte } of badLines.filter(({ isAtEnd }) => isAtEnd)) {
    const path = join(folder, file);
    if (fromByte < statSync(path).size) await cut(path, fromByte);
  }
}

/** The bytes beyond `offset` are on the disk under another name before the file is made shorter. */
async function cut(path: string, offset: number): Promise<void> {
  const torn = readFileSync(path).subarray(offset);
  await replaceFile(tornFile(path, offset), torn);
  const file = await open(path, 'r+');
  try {
    await file.truncate(offset);
    await file.sync();
  } finally {
    await file.close();
  }
}

async function surveyInTurns(file: StreamFile): Promise<Survey> {
  const surveyor = createSurveyor(file);
  for (const block of scanBlocks(file)) {
    surveyor.add(block);
    if (block.sequence % BLOCKS_A_TURN === BLOCKS_A_TURN - 1) await othersTurn();
  }
  return surveyor.result();
}

async function closingDocument(
  recording: Recording,
  surveys: readonly Survey[],
  now: Date,
): Promise<StopDocument> {
  const { folder, id, start, events, files } = recording;
  const { samples, missing, gaps, firstIndex, endIndex } = await countSamples(files);
  const names = readdirSync(folder).sort();
  const sizeOf = (name: string): number => statSync(join(folder, name)).size;
  const isOpened = (name: string): boolean => files.some((file) => file.name === name);
  const others = names.filter(
    (name) =>
      [START_FILE, README_FILE].includes(name) ||
      isEventsFile(name) ||
      isUndecodedFile(name) ||
      (isStreamFile(name) && !isOpened(name)),
  );
  return {
    document: 'stop',
    version: RECORDING_VERSION,
    id: start?.id ?? id,
    status: 'recovered',
    reason: 'the program ended without closing the recording',
    stoppedAt: now.toISOString(),
    samples,
    missing,
    gaps,
    firstIndex: samples > 0 ? Math.min(firstIndexOf(recording) ?? firstIndex, firstIndex) : 0,
    endIndex,
    events: events.length,
    undecodedBytes: names.filter(isUndecodedFile).reduce((sum, name) => sum + sizeOf(name), 0),
    lost: [],
    segments: surveys.map(({ summary }) => summary),
    files: others.map((name) => fileSummary(folder, name)),
    torn: names.filter(isTornFile).map((name) => {
      const [, from = '', offset = '0'] = /^(.*)\.(\d+)\.torn$/.exec(name) ?? [];
      return { name, from, offset: Number(offset), bytes: sizeOf(name) };
    }),
  };
}

/** Over all files: what stands in two of them counts once. */
async function countSamples(files: readonly StreamFile[]): Promise<RunCounter> {
  const counter = createRunCounter();
  let blocks = 0;
  for (const { file, head, bytes } of soundBlocks(files)) {
    presentRuns(bytes, head, file.header.layout, (first, end) => {
      counter.run(head.index + first, head.index + end);
    });
    blocks += 1;
    if (blocks % BLOCKS_A_TURN === 0) await othersTurn();
  }
  return counter;
}
