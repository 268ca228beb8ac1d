/** The analysis thread's own side: one question at a time, answered in order. */
import { parentPort } from 'node:worker_threads';
import { analyze, recipeFor } from '../../shared/analysis.ts';
import type { AnalysisDocument, Conditions, Signal } from '../../shared/analysis-types.ts';
import { analyseRecording } from './analyse-recording.ts';

export type AnalysisQuestion =
  | { readonly kind: 'signal'; readonly signal: Signal; readonly conditions: Conditions }
  | { readonly kind: 'recording'; readonly folder: string };

/** `key` stands for the decisions on the recording that were followed; empty for none. */
export type AnalysisAnswer =
  { readonly document: AnalysisDocument; readonly key: string } | { readonly problem: string };

function answer(question: AnalysisQuestion): AnalysisAnswer {
  try {
    if (question.kind === 'recording') return analyseRecording(question.folder);
    const { signal, conditions } = question;
    return { document: analyze(signal, conditions, recipeFor(signal, conditions)), key: '' };
  } catch (error) {
    return { problem: error instanceof Error ? error.message : String(error) };
  }
}

parentPort?.on('message', (question: AnalysisQuestion) => {
  parentPort?.postMessage(answer(question));
});
