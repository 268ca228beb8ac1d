/** `analyze`: recordings and plain tables to repetitions and measures, by the code that runs live. */
import { analyze, recipeFor } from '../../shared/analysis.ts';
import type { AnalysisDocument, Conditions, Signal } from '../../shared/analysis-types.ts';
import { withCertainty } from '../../shared/certainty.ts';
import type { Recipe } from '../../shared/recipe/recipe.ts';
import { parseRecipe } from '../../shared/recipe/schema.ts';
import { readInput } from './analyze-input.ts';
import { ANALYZE_USAGE, type AnalyzeOptions, parseAnalyzeOptions } from './analyze-options.ts';
import { analysisText } from './analyze-text.ts';
import { type Command, type Io, UsageError } from './command.ts';

export const analyzeCommand: Command = {
  name: 'analyze',
  about: 'Recordings or plain tables to repetitions and measures.',
  usage: ANALYZE_USAGE,
  run: (args, io) => Promise.resolve(run(parseAnalyzeOptions(args), io)),
};

/** A file that cannot be analysed, among others that can. */
interface Failure {
  readonly input: string;
  readonly problem: string;
}

function run(options: AnalyzeOptions, io: Io): number {
  const results = options.files.map((file) => analyzeFile(file, options));
  const [only] = results;
  if (results.length === 1 && only && 'problem' in only) {
    throw new UsageError(`${only.input}: ${only.problem}`);
  }
  let isDamaged = false;
  for (const result of results) {
    const lines = 'problem' in result ? [result.problem] : result.damage;
    for (const line of lines) io.err(`momentarm analyze: ${result.input}: ${line}`);
    if (lines.length > 0) isDamaged = true;
  }
  const shown = results.map((result) => ('problem' in result ? result : result.document));
  if (options.isJson) io.out(JSON.stringify(shown.length === 1 ? shown[0] : shown, null, 2));
  else {
    for (const one of shown)
      if (!('problem' in one)) for (const line of analysisText(one)) io.out(line);
  }
  return isDamaged ? 1 : 0;
}

type Result =
  | {
      readonly input: string;
      readonly document: AnalysisDocument;
      readonly damage: readonly string[];
    }
  | Failure;

function analyzeFile(file: string, options: AnalyzeOptions): Result {
  const read = readInput(file, options);
  if ('problem' in read) return { input: file, problem: read.problem };
  const { signal, damage } = read;
  const conditions = { ...read.stated, ...options.conditions };
  const problem = conditionTrouble(signal, conditions);
  if (problem !== null) return { input: file, problem };
  const recipe = chosenRecipe(signal, conditions, options.recipe ?? read.recipe);
  const document = analyze(signal, conditions, recipe, file);
  if (!options.isJson || options.isPlain) return { input: file, document, damage };
  const { known } = options;
  return {
    input: file,
    document: withCertainty(document, signal, conditions, recipe, known),
    damage,
  };
}

function chosenRecipe(signal: Signal, conditions: Conditions, stated: unknown): Recipe {
  const preset = recipeFor(signal, conditions);
  if (stated === undefined) return preset;
  const parsed = parseRecipe(stated, preset);
  if ('problem' in parsed) throw new UsageError(parsed.problem);
  return parsed.recipe;
}

/** What was stated but cannot be done with these columns. */
function conditionTrouble(signal: Signal, { mode, gravity }: Conditions): string | null {
  if (signal.angle_deg !== null) return null;
  const name = 'name it with --columns angle=NAME';
  if (mode !== undefined && mode !== 'isometric') return `no column angle_deg: ${name}`;
  if (gravity !== undefined && gravity.kind !== 'none') {
    return `no column angle_deg, which --gravity needs: ${name}`;
  }
  return null;
}
