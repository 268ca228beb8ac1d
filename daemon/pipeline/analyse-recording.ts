/** A whole recording to its results: what the end of a live set stores, with what people decided since. */
import { analyze } from '../../shared/analysis.ts';
import type { AnalysisDocument } from '../../shared/analysis-types.ts';
import type { TrustRecord } from '../../shared/trust/trust.ts';
import { editsIn, type Edits } from '../catalogue/edits.ts';
import { analysisInput } from './analysis-input.ts';
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
  const input = analysisInput(folder, edits);
  if ('problem' in input) return input;
  const { recording, signal, conditions, recipe } = input;
  const document = analyze(signal, conditions, recipe, recording.id);
  return { document, key: edits.key, trust: trustOf(recording, signal, document) };
}
