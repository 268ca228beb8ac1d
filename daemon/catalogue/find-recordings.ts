/** Recordings of a data folder by a filter, from their own documents: also while a station uses the folder. */
import { existsSync, readdirSync } from 'node:fs';
import { isRecordingId, recordingFolder, recordingsFolder } from '../store/file-names.ts';
import { readStartFile, readStopFile } from '../store/recording.ts';
import { assignedStart, editsIn } from './edits.ts';
import { createSetIndex, type SetFilter } from './set-index.ts';

/** Oldest first. What is still being recorded is left out. */
export function findRecordings(dataFolder: string, filter: SetFilter): readonly string[] {
  const index = createSetIndex();
  const parent = recordingsFolder(dataFolder);
  const ids = existsSync(parent) ? readdirSync(parent).filter(isRecordingId) : [];
  for (const id of ids) {
    const folder = recordingFolder(dataFolder, id);
    const [read, stop] = [readStartFile(folder), readStopFile(folder)];
    if (!('value' in read) || stop === null || !('value' in stop)) continue;
    const edits = editsIn(folder);
    const start = assignedStart(read.value, edits) ?? read.value;
    const { subject = '', pattern = '', side = '', mode = '' } = start.conditions;
    index.put({
      ...{ id, name: start.name, startedAt: start.startedAt, station: start.station },
      ...{ subject, pattern, side, mode, status: stop.value.status },
      ...{ session: edits.assignment?.session ?? '', flags: {} },
      ...{ duration_s: 0, peakTorque_Nm: null },
    });
  }
  const page = { sort: 'startedAt', isDescending: false, limit: Infinity, offset: 0 } as const;
  return index.select(filter, page).ids;
}
