/**
 * The recordings on the disk, as the API shows them: the list, and one opened. Reads only; a folder
 * that is damaged is listed as such, and everything sound in it can still be looked at.
 */
import { existsSync } from 'node:fs';
import { readdir } from 'node:fs/promises';
import { setImmediate as othersTurn } from 'node:timers/promises';
import type { StopDocument } from '../shared/record/documents.ts';
import { assignedRecording, editsIn } from './catalogue/edits.ts';
import type { AnalysisThread } from './pipeline/analysis-thread.ts';
import {
  readResults,
  readTrust,
  type Results,
  resultsOf,
  sentTrust,
  storeResults,
  type Trust,
} from './pipeline/results.ts';
import { trustOf } from './pipeline/trust-of.ts';
import { columnsOf } from './store/columns.ts';
import { isRecordingId, recordingFolder, recordingsFolder } from './store/file-names.ts';
import { extentOf } from './store/read-blocks.ts';
import { openRecording, readStartFile, readStopFile, type Recording } from './store/recording.ts';

/** Folders read between two turns for others: a few milliseconds of work. */
const ENTRIES_A_TURN = 20;

export interface RecordingEntry {
  readonly id: string;
  /** `recording`: under way; `open`: the daemon died, the next start closes it; `damaged`: unreadable. */
  readonly status: 'recording' | 'open' | 'damaged' | StopDocument['status'];
  readonly name: string;
  readonly startedAt: string;
  readonly subject: string;
  readonly pattern: string;
  readonly side: string;
  readonly mode: string;
  readonly samples: number;
  readonly duration_s: number;
}

export interface OpenedRecording {
  readonly recording: Recording;
  readonly rate_Hz: number;
  /** Stream index of its first sample and one past the last; both 0 when it is empty. */
  readonly firstIndex: number;
  readonly endIndex: number;
  readonly columns: readonly { readonly name: string; readonly unit: string }[];
}

export interface Library {
  /** Newest first. */
  list(): Promise<readonly RecordingEntry[]>;
  /** Null when there is none of that id. */
  open(id: string): OpenedRecording | null;
  /** Null when there is none of that id. */
  entry(id: string): RecordingEntry | null;
  /** By the decisions as they are now: stored ones, else computed and stored; or why there are none. */
  results(id: string): Promise<ResultsReading>;
  /** What its numbers stand on; also of one that cannot be analysed. */
  trust(id: string): Promise<Trust>;
  /** It was deleted. */
  forget(id: string): void;
}

export type ResultsReading = { readonly results: Results } | { readonly problem: string };

export interface LibraryOptions {
  readonly dataFolder: string;
  readonly thread: AnalysisThread;
  /** Id of the recording under way. */
  readonly current: () => string | null;
  /** Results of it were computed and stored. */
  readonly changed: (id: string) => void;
}

export function createLibrary(options: LibraryOptions): Library {
  const { dataFolder, thread, current } = options;
  /** Closed recordings do not change. */
  const closed = new Map<string, RecordingEntry>();

  const entry = (id: string): RecordingEntry => {
    const known = closed.get(id);
    if (known) return known;
    const read = readEntry(dataFolder, id, id === current());
    if (read.status !== 'recording' && read.status !== 'open') closed.set(id, read);
    return read;
  };

  return {
    async list() {
      const names = await readdir(recordingsFolder(dataFolder)).catch(() => []);
      const entries: RecordingEntry[] = [];
      for (const id of names.filter(isRecordingId).sort().reverse()) {
        if (entries.length % ENTRIES_A_TURN === 0) await othersTurn();
        entries.push(entry(id));
      }
      return entries;
    },
    entry(id) {
      const isThere = isRecordingId(id) && existsSync(recordingFolder(dataFolder, id));
      return isThere ? entry(id) : null;
    },
    async trust(id) {
      const folder = recordingFolder(dataFolder, id);
      const edits = editsIn(folder);
      const known = await readTrust(folder, edits.key);
      if (known) return known;
      const found = await this.results(id);
      const kept = 'results' in found ? await readTrust(folder, edits.key) : null;
      const recording = assignedRecording(openRecording(folder), edits);
      return kept ?? sentTrust(trustOf(recording, null, null));
    },
    forget: (id) => void closed.delete(id),
    open(id) {
      if (!isRecordingId(id)) return null;
      try {
        return opened(openRecording(recordingFolder(dataFolder, id)));
      } catch {
        return null;
      }
    },
    async results(id) {
      const folder = recordingFolder(dataFolder, id);
      const stored = await readResults(folder, editsIn(folder).key);
      if (stored) return { results: stored };
      const answer = await thread.ask({ kind: 'recording', folder });
      if ('problem' in answer) return answer;
      // What is still being recorded has results of a moment: nothing to keep.
      if (id !== current()) {
        await storeResults(folder, answer).catch(notKept);
        options.changed(id);
      }
      return { results: resultsOf(answer.document) };
    },
  };
}

/** A full or read-only disk: they are computed again when asked for. */
function notKept(): void {}

function readEntry(dataFolder: string, id: string, isCurrent: boolean): RecordingEntry {
  const folder = recordingFolder(dataFolder, id);
  const start = readStartFile(folder);
  const stop = readStopFile(folder);
  const isSound = 'value' in start && (stop === null || 'value' in stop);
  const ended = stop !== null && 'value' in stop ? stop.value : null;
  const status = !isSound ? 'damaged' : (ended?.status ?? (isCurrent ? 'recording' : 'open'));
  const { name = '', startedAt = '', conditions = {} } = 'value' in start ? start.value : {};
  return {
    id,
    status,
    name,
    startedAt,
    subject: conditions.subject ?? '',
    pattern: conditions.pattern ?? '',
    side: conditions.side ?? '',
    mode: conditions.mode ?? '',
    samples: ended?.samples ?? 0,
    duration_s: ended === null ? 0 : durationOf(ended),
  };
}

/** From the first sample to the end of the last, each file at its own rate. */
function durationOf({ segments, endIndex }: StopDocument): number {
  return segments.reduce((sum, { firstIndex, rate_Hz }, k) => {
    const next = segments[k + 1]?.firstIndex ?? endIndex;
    return sum + Math.max(next - firstIndex, 0) / rate_Hz;
  }, 0);
}

function opened(recording: Recording): OpenedRecording {
  const extents = recording.files.map(extentOf).filter((extent) => extent !== null);
  const format = recording.files[0]?.header.format;
  const columns = format ? columnsOf(recording.start, format) : [];
  const isEmpty = extents.length === 0;
  return {
    recording,
    rate_Hz: format?.rate_Hz ?? 0,
    firstIndex: isEmpty ? 0 : Math.min(...extents.map(({ fromIndex }) => fromIndex)),
    endIndex: isEmpty ? 0 : Math.max(...extents.map(({ toIndex }) => toIndex)),
    columns: columns.map(({ name, unit }) => ({ name, unit })),
  };
}
