/**
 * All recordings of a data folder: what there is, one of them in full, and order after a crash.
 * Reading is synchronous and by folder; nothing here keeps a file open or a state of its own.
 */
import { existsSync, readdirSync } from 'node:fs';
import type { StreamBlock } from '../../shared/block/block.ts';
import type { StopDocument } from '../../shared/record/documents.ts';
import { createIndexClock } from '../../shared/record/index-clock.ts';
import { diskTrouble } from './disk-trouble.ts';
import { isRecordingId, recordingFolder, recordingsFolder } from './file-names.ts';
import { readOverview, type Overview, type OverviewQuery } from './overview.ts';
import { ALL, readSamples, type IndexRange } from './read-blocks.ts';
import { openRecording, readStartFile, readStopFile, type Recording } from './recording.ts';
import { recoverRecording } from './recover.ts';
import { readSignal, type SignalReading } from './signal.ts';

/** A recording in a list. Counts are those of its closing document, 0 while it has none. */
export interface RecordingSummary {
  readonly id: string;
  readonly name: string;
  readonly startedAt: string;
  readonly stoppedAt: string | null;
  /** `open`: still being recorded, or left open by a crash until the next start. */
  readonly status: 'open' | StopDocument['status'] | 'damaged';
  /** Why it ended, or what is wrong with it. */
  readonly reason: string;
  readonly station: string;
  readonly subject: string;
  readonly samples: number;
  readonly missing: number;
  readonly gaps: number;
  readonly firstIndex: number;
  readonly endIndex: number;
  readonly duration_s: number;
}

export interface Store {
  /** Newest first. */
  list(): RecordingSummary[];
  /** Null when there is none of that id. */
  get(id: string): Recording | null;
  /** Its samples in order, each once; holes are jumps of `index`. Null when there is none of that id. */
  read(id: string, range?: IndexRange): Generator<StreamBlock, void, undefined> | null;
  /** Null when there is no such recording or column. */
  overview(id: string, query: OverviewQuery): Promise<Overview | null>;
  signal(id: string): SignalReading;
  /** Closes what a crash left open. Call it before any recording begins. `now` is the wall clock. */
  recover(now: Date): Promise<Recovered[]>;
}

export interface Recovered {
  readonly id: string;
  /** Null when its folder could not be dealt with; `trouble` says why. */
  readonly stop: StopDocument | null;
  readonly trouble: string;
}

export function openStore(dataFolder: string): Store {
  const get = (id: string): Recording | null => {
    const folder = isRecordingId(id) ? recordingFolder(dataFolder, id) : null;
    return folder !== null && existsSync(folder) ? openRecording(folder) : null;
  };
  const ids = (): string[] => {
    const parent = recordingsFolder(dataFolder);
    if (!existsSync(parent)) return [];
    const entries = readdirSync(parent, { withFileTypes: true });
    return entries
      .filter((entry) => entry.isDirectory() && isRecordingId(entry.name))
      .map((entry) => entry.name);
  };
  return {
    list: () =>
      ids()
        .map((id) => summaryOf(id, recordingFolder(dataFolder, id)))
        .sort((a, b) => (a.startedAt < b.startedAt ? 1 : -1)),
    get,
    read(id, range = ALL) {
      const recording = get(id);
      return recording === null ? null : readSamples(recording.files, range);
    },
    async overview(id, query) {
      const recording = get(id);
      return recording === null ? null : readOverview(recording, query);
    },
    signal(id) {
      const recording = get(id);
      return recording === null
        ? { problem: `there is no recording ${id}` }
        : readSignal(recording);
    },
    async recover(now) {
      const recovered: Recovered[] = [];
      for (const id of ids()) {
        try {
          const stop = await recoverRecording(recordingFolder(dataFolder, id), now);
          if (stop !== null) recovered.push({ id, stop, trouble: '' });
        } catch (error) {
          recovered.push({ id, stop: null, trouble: diskTrouble(error).words });
        }
      }
      return recovered;
    },
  };
}

function summaryOf(id: string, folder: string): RecordingSummary {
  const start = readStartFile(folder);
  const stop = readStopFile(folder);
  const known = 'value' in start ? start.value : null;
  const closed = stop !== null && 'value' in stop ? stop.value : null;
  const trouble = [start, stop].flatMap((one) =>
    one !== null && 'trouble' in one ? [one.trouble] : [],
  );
  return {
    id,
    name: known?.name ?? '',
    startedAt: known?.startedAt ?? '',
    stoppedAt: closed?.stoppedAt ?? null,
    status: trouble.length > 0 ? 'damaged' : (closed?.status ?? 'open'),
    reason: trouble.length > 0 ? trouble.join('; ') : (closed?.reason ?? ''),
    station: known?.station ?? '',
    subject: known?.conditions.subject ?? '',
    samples: closed?.samples ?? 0,
    missing: closed?.missing ?? 0,
    gaps: closed?.gaps ?? 0,
    firstIndex: closed?.firstIndex ?? 0,
    endIndex: closed?.endIndex ?? 0,
    duration_s: closed === null ? 0 : durationOf(closed),
  };
}

function durationOf({ segments, firstIndex, endIndex }: StopDocument): number {
  return createIndexClock(segments, firstIndex)(endIndex);
}
