/** What `analyze` is given: a plain table or a recording, as a signal with what was stated about it. */
import { existsSync, statSync } from 'node:fs';
import type { Conditions, Signal } from '../../shared/analysis-types.ts';
import { assignedRecording, editedConditions, editsIn } from '../catalogue/edits.ts';
import { isRecordingId, recordingFolder } from '../store/file-names.ts';
import { openRecording } from '../store/recording.ts';
import { readSignal } from '../store/signal.ts';
import { verifyRecording } from '../store/verify.ts';
import { readTableFile } from '../tables/read-table-file.ts';
import type { AnalyzeOptions } from './analyze-options.ts';

export type Input =
  | {
      readonly signal: Signal;
      /** What the input itself states; the command line goes before it. */
      readonly stated: Conditions;
      /** A recipe that people chose for this recording, as JSON; undefined for none. */
      readonly recipe?: unknown;
      /** What is damaged, in words; empty when nothing is. */
      readonly damage: readonly string[];
    }
  | { readonly problem: string };

export function readInput(name: string, options: AnalyzeOptions): Input {
  const folder = recordingOf(name, options.dataFolder);
  if (folder !== null) return readRecording(folder);
  const read = readTableFile(name, options.table);
  return 'problem' in read ? read : { ...read, stated: {} };
}

/** Folder of a recording by its id or path; null for anything else. */
function recordingOf(name: string, dataFolder: string): string | null {
  const byId = isRecordingId(name) ? recordingFolder(dataFolder, name) : null;
  for (const folder of [byId, name]) {
    if (folder !== null && existsSync(folder) && statSync(folder).isDirectory()) return folder;
  }
  return null;
}

/** With what people decided about it since, as the station's own results. */
function readRecording(folder: string): Input {
  const opened = openRecording(folder);
  if (opened.start === null && opened.files.length === 0) {
    return { problem: 'this folder is neither a table nor a recording' };
  }
  const edits = editsIn(folder);
  const recording = assignedRecording(opened, edits);
  const read = readSignal(recording);
  if ('problem' in read) return read;
  const { findings } = verifyRecording(folder);
  return {
    signal: read.signal,
    stated: editedConditions(recording.start, edits),
    recipe: edits.recipe ?? undefined,
    damage: findings.map(({ file, message }) => `${file}: ${message}`),
  };
}
