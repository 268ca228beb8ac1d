/** A working thread's own side: analyses, answered in order, or one export. */
import { parentPort } from 'node:worker_threads';
import { analyze, recipeFor } from '../../shared/analysis.ts';
import type { AnalysisDocument, Conditions, Signal } from '../../shared/analysis-types.ts';
import type { TrustRecord } from '../../shared/trust/trust.ts';
import { analyseRecording } from './analyse-recording.ts';

export type AnalysisQuestion =
  | { readonly kind: 'signal'; readonly signal: Signal; readonly conditions: Conditions }
  | { readonly kind: 'recording'; readonly folder: string };

/** With the record of what it stands on, where a whole recording was asked for. */
export type AnalysisAnswer =
  | { readonly document: AnalysisDocument; readonly key: string; readonly trust?: TrustRecord }
  | { readonly problem: string };

function answer(question: AnalysisQuestion): AnalysisAnswer {
  try {
    if (question.kind === 'recording') return analyseRecording(question.folder);
    const { signal, conditions } = question;
    return { document: analyze(signal, conditions, recipeFor(signal, conditions)), key: '' };
  } catch (error) {
    return { problem: error instanceof Error ? error.message : String(error) };
  }
}

/** Recordings to files of a format in the folder `out`. */
export interface ExportOrder {
  readonly kind: 'export';
  readonly format: string;
  readonly folders: readonly string[];
  readonly out: string;
}

export type ExportTold =
  | { readonly kind: 'progress'; readonly progress: number }
  | {
      readonly kind: 'done';
      readonly files: readonly string[];
      readonly problems: readonly string[];
    }
  | { readonly kind: 'failed'; readonly problem: string };

function tellOfExport(told: ExportTold): void {
  parentPort?.postMessage(told);
}

parentPort?.on('message', (asked: AnalysisQuestion | ExportOrder) => {
  if (asked.kind !== 'export') {
    parentPort?.postMessage(answer(asked));
    return;
  }
  // Loaded when first needed: an analysis waits for no file format.
  void import('../exporters/run-order.ts')
    .then(({ runOrder }) => runOrder(asked, tellOfExport))
    .catch((error: unknown) => {
      const problem = error instanceof Error ? error.message : String(error);
      tellOfExport({ kind: 'failed', problem });
    });
});
