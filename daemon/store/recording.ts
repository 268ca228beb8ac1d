/**
 * A recording's folder, opened for reading: its documents checked, its stream files at hand.
 * Damage is data: whatever can be read is there, what cannot is told. Nothing is written.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { crc32 } from 'node:zlib';
import {
  parseStart,
  parseStop,
  type Parsed,
  type RecordingEvent,
  type StartDocument,
  type StopDocument,
} from '../../shared/record/documents.ts';
import { parseHeaderJson, type StreamHeader } from '../../shared/record/file-header.ts';
import { openDocument } from '../../shared/record/sealed-json.ts';
import { readEvents, type BadLine } from './event-lines.ts';
import { isEventsFile, isStreamFile, START_FILE, STOP_FILE } from './file-names.ts';
import { openStreamFile, type StreamFile } from './stream-file.ts';

export interface Recording {
  readonly folder: string;
  /** Name of the folder. */
  readonly id: string;
  /** Null when neither the file nor its copy in the events can be read. */
  readonly start: StartDocument | null;
  /** Null while it is being recorded, after a crash, or when it is damaged. */
  readonly stop: StopDocument | null;
  readonly events: readonly RecordingEvent[];
  /** In the order in which they were written. */
  readonly files: readonly StreamFile[];
  readonly troubles: readonly FileTrouble[];
  readonly badLines: readonly BadLine[];
}

/** A file that is not what was written. */
export interface FileTrouble {
  readonly file: string;
  readonly trouble: string;
  /** A sound copy stands elsewhere in the folder: nothing is lost. */
  readonly isCopied: boolean;
}

/** Throws only when the folder itself cannot be read. */
export function openRecording(folder: string): Recording {
  const names = readdirSync(folder);
  const inOrder = (isIt: (name: string) => boolean): string[] =>
    names.filter(isIt).sort((a, b) => numberIn(a) - numberIn(b));
  const troubles: FileTrouble[] = [];
  const { events, bad } = readEvents(folder, inOrder(isEventsFile));
  const start = readStart(folder, events, troubles);
  const stop = readStop(folder, troubles);
  const files: StreamFile[] = [];
  for (const name of inOrder(isStreamFile)) {
    const copy = headerInEvents(events, numberIn(name));
    const file = openStreamFile(join(folder, name), copy);
    if ('trouble' in file) troubles.push({ file: name, trouble: file.trouble, isCopied: false });
    else {
      files.push(file);
      if (file.headTrouble === null) continue;
      troubles.push({ file: name, trouble: file.headTrouble, isCopied: true });
    }
  }
  return { folder, id: basename(folder), start, stop, events, files, troubles, badLines: bad };
}

/**
 * Stream index of the first sample that was recorded, also when that one is damaged now: time is counted
 * from it. Null when nobody knows and the first sound sample has to serve.
 */
export function firstIndexOf({ stop, events }: Recording): number | null {
  if (stop !== null) return stop.firstIndex;
  return events.find((event) => event.kind === 'segment')?.at ?? null;
}

/** The start document alone, without its copy in the events: for lists. */
export function readStartFile(folder: string): Parsed<StartDocument> {
  return readSealed(join(folder, START_FILE), parseStart);
}

export function readStopFile(folder: string): Parsed<StopDocument> | null {
  const path = join(folder, STOP_FILE);
  return existsSync(path) ? readSealed(path, parseStop) : null;
}

function readStart(
  folder: string,
  events: readonly RecordingEvent[],
  troubles: FileTrouble[],
): StartDocument | null {
  const own = readStartFile(folder);
  if ('value' in own) return own.value;
  const first = events.find((event) => event.kind === 'start');
  const copy = parseStart(first?.detail['document']);
  const isCopied = 'value' in copy;
  troubles.push({ file: START_FILE, trouble: own.trouble, isCopied });
  return isCopied ? copy.value : null;
}

function readStop(folder: string, troubles: FileTrouble[]): StopDocument | null {
  const stop = readStopFile(folder);
  if (stop === null) return null;
  if ('value' in stop) return stop.value;
  troubles.push({ file: STOP_FILE, trouble: stop.trouble, isCopied: false });
  return null;
}

function readSealed<T>(path: string, parse: (value: unknown) => Parsed<T>): Parsed<T> {
  if (!existsSync(path)) return { trouble: 'it is missing' };
  const value = openDocument(readFileSync(path), crc32);
  return value === null ? { trouble: 'its checksum is wrong' } : parse(value);
}

function headerInEvents(events: readonly RecordingEvent[], n: number): StreamHeader | null {
  for (const event of events) {
    if (event.kind !== 'segment') continue;
    const parsed = parseHeaderJson(event.detail['head']);
    if ('value' in parsed && parsed.value.segment === n) return parsed.value;
  }
  return null;
}

/** `stream-12.blk` is 12; a name without a number is 0. */
function numberIn(name: string): number {
  return Number(/\d+/.exec(name)?.[0] ?? 0);
}
