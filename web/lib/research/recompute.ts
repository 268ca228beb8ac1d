/** The thread of the desk that analyses: the very `analyze` of the daemon, off the thread that draws. */
import { analyze } from '../../../shared/analysis.ts';
import type { AnalysisDocument } from '../../../shared/analysis-types.ts';
import type { Recipe } from '../../../shared/recipe/recipe.ts';
import { type ReportPart, reportPart } from '../../../shared/report/part.ts';
import { type ConditionedCurves, conditionedCurves } from '../../../shared/segmentation/whole.ts';
import { type AnalysisInput, decodeAnalysisInput } from '../../../shared/wire/signal-codec.ts';

export type Asked =
  | { readonly kind: 'open'; readonly bytes: Uint8Array<ArrayBuffer> }
  | { readonly kind: 'compute'; readonly recipe: Recipe }
  /** What a report shows of this recording. */
  | { readonly kind: 'part'; readonly bytes: Uint8Array<ArrayBuffer> };

export type Opened = Omit<AnalysisInput, 'signal'> & { readonly time_s: Float64Array };

export interface Computed {
  readonly recipe: Recipe;
  readonly document: AnalysisDocument;
  readonly curves: ConditionedCurves;
}

export type Told =
  | { readonly kind: 'opened'; readonly input: Opened }
  | { readonly kind: 'computed'; readonly result: Computed }
  | { readonly kind: 'part'; readonly part: ReportPart }
  | { readonly kind: 'failed'; readonly problem: string };

let input: AnalysisInput | null = null;

function answer(asked: Asked): Told {
  if (asked.kind === 'open') {
    input = decodeAnalysisInput(asked.bytes);
    if (input === null) return { kind: 'failed', problem: '' };
    const { recording, conditions, recipe, signal } = input;
    return { kind: 'opened', input: { recording, conditions, recipe, time_s: signal.time_s } };
  }
  if (asked.kind === 'part') {
    const read = decodeAnalysisInput(asked.bytes);
    return read === null
      ? { kind: 'failed', problem: '' }
      : { kind: 'part', part: reportPart(read) };
  }
  if (input === null) return { kind: 'failed', problem: '' };
  const { signal, conditions, recording } = input;
  const document = analyze(signal, conditions, asked.recipe, recording);
  const curves = conditionedCurves(signal, conditions, asked.recipe);
  return { kind: 'computed', result: { recipe: asked.recipe, document, curves } };
}

self.addEventListener('message', ({ data }: MessageEvent<Asked>) => {
  try {
    self.postMessage(answer(data));
  } catch (error) {
    const problem = error instanceof Error ? error.message : String(error);
    self.postMessage({ kind: 'failed', problem } satisfies Told);
  }
});
