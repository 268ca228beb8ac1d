/** A whole recording to its results: what the end of a live set stores, with what people decided since. */
import { analyze, recipeFor } from '../../shared/analysis.ts';
import type { AnalysisDocument } from '../../shared/analysis-types.ts';
import { parseRecipe } from '../../shared/recipe/schema.ts';
import type { TrustRecord } from '../../shared/trust/trust.ts';
import { assignedRecording, editedConditions, editsIn, type Edits } from '../catalogue/edits.ts';
import { openRecording } from '../store/recording.ts';
import { readSignal } from '../store/signal.ts';
import { trustOf } from './trust-of.ts';

/** `key` stands for the decisions that the results follow. */
export type RecordingAnalysis =
  | { readonly document: AnalysisDocument; readonly key: string; readonly trust: TrustRecord }
  | { readonly problem: string };

/** Samples, start document and decisions are all in the folder: the same folder, the same bits. */
export function analyseRecording(
  folder: string,
  edits: Edits = editsIn(folder),
): RecordingAnalysis {
  const recording = assignedRecording(openRecording(folder), edits);
  const reading = readSignal(recording);
  if ('problem' in reading) return reading;
  const conditions = editedConditions(recording.start, edits);
  const preset = recipeFor(reading.signal, conditions);
  const chosen = edits.recipe === null ? { recipe: preset } : parseRecipe(edits.recipe, preset);
  if ('problem' in chosen) return chosen;
  const document = analyze(reading.signal, conditions, chosen.recipe, recording.id);
  return { document, key: edits.key, trust: trustOf(recording, reading.signal, document) };
}
