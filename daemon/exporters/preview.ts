/** What would leave with an export, before anything is written: for the person who is answerable for it. */
import { codeWarnings } from '../../shared/catalogue/subject-code.ts';
import { assignedRecording, editsIn } from '../catalogue/edits.ts';
import { openRecording } from '../store/recording.ts';
import { exportSourceOf } from './recording-source.ts';

export interface ExportPreview {
  readonly recording: string;
  readonly subject: string;
  readonly samples: number;
  /** Each with its unit. */
  readonly columns: readonly string[];
  /** Texts that people typed: markers, reasons of decisions, the recording's name. */
  readonly texts: readonly string[];
  /** Members of the provenance. */
  readonly provenance: readonly string[];
  /** What a person should look at first. */
  readonly warnings: readonly string[];
  /** Why it cannot leave; empty when it can. */
  readonly problem: string;
}

export function previewExport(folder: string): ExportPreview {
  const recording = openRecording(folder);
  const edits = editsIn(folder);
  const { start } = assignedRecording(recording, edits);
  const subject = start?.conditions.subject ?? '';
  const source = exportSourceOf(recording, { edits, results: null, trust: null });
  const warnings = codeWarnings(subject).map((warning) => `${subject}: ${warning}`);
  const what = { recording: recording.id, subject, samples: recording.stop?.samples ?? 0 };
  if ('problem' in source) {
    const { problem } = source;
    return { ...what, columns: [], texts: [], provenance: [], warnings, problem };
  }
  const typed = source.markers.filter(({ kind }) => kind === 'marker').map(({ text }) => text);
  const reasons = edits.decisions.map(({ reason }) => reason);
  return {
    ...what,
    columns: source.columns.map(({ name, unit }) => `${name} (${unit})`),
    texts: [...new Set([start?.name ?? '', ...typed, ...reasons])].filter((text) => text !== ''),
    provenance: Object.keys(source.provenance),
    ...{ warnings, problem: '' },
  };
}
