/** What the analysis of a recording goes by: its samples, what was stated and decided, and the recipe. */
import { recipeFor } from '../../shared/analysis.ts';
import type { Conditions, Signal } from '../../shared/analysis-types.ts';
import type { Recipe } from '../../shared/recipe/recipe.ts';
import { parseRecipe } from '../../shared/recipe/schema.ts';
import { assignedRecording, editedConditions, editsIn, type Edits } from '../catalogue/edits.ts';
import { openRecording, type Recording } from '../store/recording.ts';
import { readSignal } from '../store/signal.ts';

export interface RecordingInput {
  /** The assigned one. */
  readonly recording: Recording;
  readonly signal: Signal;
  readonly conditions: Conditions;
  readonly recipe: Recipe;
}

export function analysisInput(
  folder: string,
  edits: Edits = editsIn(folder),
): RecordingInput | { readonly problem: string } {
  const recording = assignedRecording(openRecording(folder), edits);
  const reading = readSignal(recording);
  if ('problem' in reading) return reading;
  const { signal } = reading;
  const conditions = editedConditions(recording.start, edits);
  const preset = recipeFor(signal, conditions);
  const chosen = edits.recipe === null ? { recipe: preset } : parseRecipe(edits.recipe, preset);
  if ('problem' in chosen) return chosen;
  return { recording, signal, conditions, recipe: chosen.recipe };
}
