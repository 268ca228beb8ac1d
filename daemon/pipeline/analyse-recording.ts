/** A whole recording to its results: what the end of a live set stores, and what `analyze` prints. */
import { analyze, recipeFor } from '../../shared/analysis.ts';
import type { AnalysisDocument, Conditions } from '../../shared/analysis-types.ts';
import { openRecording } from '../store/recording.ts';
import { readSignal } from '../store/signal.ts';
import { conditionsOf } from './conditions.ts';

/** `changes` go before what the recording's start document states. */
export function analyseRecording(
  folder: string,
  changes: Conditions = {},
): { readonly document: AnalysisDocument } | { readonly problem: string } {
  const recording = openRecording(folder);
  const reading = readSignal(recording);
  if ('problem' in reading) return reading;
  const conditions = { ...conditionsOf(recording.start?.conditions ?? {}), ...changes };
  const recipe = recipeFor(reading.signal, conditions);
  return { document: analyze(reading.signal, conditions, recipe, recording.id) };
}
