/**
 * The results of a recording, kept beside it as they were when its set ended, with their recipe; what
 * people decided later gives further files, one for each state of their decisions.
 * Derived: may be deleted and computed again; the recording is complete without them.
 */
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import * as v from 'valibot';
import type { AnalysisDocument } from '../../shared/analysis-types.ts';
import type { TrustRecord } from '../../shared/trust/trust.ts';
import { replaceFile } from '../platform.ts';
import type { AnalysisAnswer } from './analyst.ts';

/** `key` stands for the decisions that the results follow; empty for none. */
export const resultsFile = (key: string): string =>
  key === '' ? 'results.json' : `results-${key}.json`;

/** What every reader may rely on; all else is carried along. */
export const resultsSchema = v.looseObject({
  input: v.string(),
  rate_Hz: v.number(),
  recipe: v.looseObject({}),
  phases: v.array(v.looseObject({ repetition: v.number(), direction: v.string() })),
  sets: v.array(v.looseObject({ direction: v.string() })),
  ratios: v.array(v.looseObject({ name: v.string() })),
  flags: v.array(v.looseObject({ kind: v.string(), message: v.string() })),
});

export type Results = v.InferOutput<typeof resultsSchema>;

/** What the results stand on, beside them. */
const trustFile = (key: string): string => resultsFile(key).replace('results', 'trust');

export async function storeResults(
  folder: string,
  { document, key, trust }: Extract<AnalysisAnswer, { key: string }>,
): Promise<void> {
  await replaceFile(join(folder, resultsFile(key)), jsonText(document));
  if (trust) await replaceFile(join(folder, trustFile(key)), jsonText(trust));
}

const jsonText = (value: object): string => `${JSON.stringify(value, null, 2)}\n`;

/** Null when there are none, or none that can be read. */
export async function readResults(folder: string, key = ''): Promise<Results | null> {
  try {
    return v.parse(
      resultsSchema,
      JSON.parse(await readFile(join(folder, resultsFile(key)), 'utf8')),
    );
  } catch {
    return null;
  }
}

/** The same document in the form in which it is stored and sent. */
export function resultsOf(document: AnalysisDocument): Results {
  return v.parse(resultsSchema, JSON.parse(JSON.stringify(document)));
}

/** Enough to know one; the rest is carried along. */
export const trustSchema = v.looseObject({
  recording: v.string(),
  lines: v.array(
    v.strictObject({
      topic: v.string(),
      state: v.picklist(['known', 'look', 'unknown']),
      text: v.string(),
    }),
  ),
});

export type Trust = v.InferOutput<typeof trustSchema>;

/** Null when there is none, or none that can be read. */
export async function readTrust(folder: string, key = ''): Promise<Trust | null> {
  try {
    return v.parse(trustSchema, JSON.parse(await readFile(join(folder, trustFile(key)), 'utf8')));
  } catch {
    return null;
  }
}

/** The same record in the form in which it is stored and sent. */
export function sentTrust(trust: TrustRecord): Trust {
  return v.parse(trustSchema, JSON.parse(JSON.stringify(trust)));
}
