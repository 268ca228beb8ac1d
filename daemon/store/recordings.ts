/** The recordings of a data folder by their ids, and order after a crash. It keeps no file open. */
import { existsSync, readdirSync } from 'node:fs';
import type { StopDocument } from '../../shared/record/documents.ts';
import { diskTrouble } from './disk-trouble.ts';
import { isRecordingId, recordingFolder, recordingsFolder } from './file-names.ts';
import { openRecording, type Recording } from './recording.ts';
import { recoverRecording } from './recover.ts';

export interface Store {
  /** Null when there is none of that id. */
  get(id: string): Recording | null;
  /**
   * Closes what a crash left open. The folders are listed at the call: recordings that begin after it
   * are not touched. `now` is the wall clock.
   */
  recover(now: Date): Promise<Recovered[]>;
}

export interface Recovered {
  readonly id: string;
  /** Null when its folder could not be dealt with; `trouble` says why. */
  readonly stop: StopDocument | null;
  readonly trouble: string;
}

export function openStore(dataFolder: string): Store {
  return {
    get(id) {
      const folder = isRecordingId(id) ? recordingFolder(dataFolder, id) : null;
      return folder !== null && existsSync(folder) ? openRecording(folder) : null;
    },
    async recover(now) {
      const recovered: Recovered[] = [];
      for (const id of idsIn(dataFolder)) {
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

function idsIn(dataFolder: string): string[] {
  const parent = recordingsFolder(dataFolder);
  if (!existsSync(parent)) return [];
  return readdirSync(parent, { withFileTypes: true })
    .filter((entry) => entry.isDirectory() && isRecordingId(entry.name))
    .map((entry) => entry.name);
}
