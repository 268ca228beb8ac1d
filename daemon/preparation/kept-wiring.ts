/**
 * The wiring as a calibration left it, kept in the data folder. It is taken again at the next start of the
 * same source with the same wiring file; a file that was edited since, or another source, goes before it.
 */
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import * as v from 'valibot';
import { canonicalJson } from '../../shared/recipe/recipe.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
import { parseWiring } from '../../shared/wiring/wiring.ts';
import { replaceFile } from '../platform.ts';

const FILE = 'calibrated-wiring.json';
const keptSchema = v.object({ source: v.string(), given: v.unknown(), wiring: v.unknown() });

export interface GivenWiring {
  readonly dataFolder: string;
  /** The source's URL, as typed. */
  readonly source: string;
  /** What the command line gave; null for none. */
  readonly given: Wiring | null;
}

/** Null when there is none for this source and file. */
export async function readKeptWiring({
  dataFolder,
  source,
  given,
}: GivenWiring): Promise<Wiring | null> {
  try {
    const kept = v.parse(keptSchema, JSON.parse(await readFile(join(dataFolder, FILE), 'utf8')));
    const isSame = kept.source === source && canonicalJson(kept.given) === canonicalJson(given);
    const parsed = parseWiring(kept.wiring);
    return isSame && 'wiring' in parsed ? parsed.wiring : null;
  } catch {
    return null;
  }
}

export async function keepWiring(at: GivenWiring, wiring: Wiring): Promise<void> {
  const { dataFolder, source, given } = at;
  const text = JSON.stringify({ source, given, wiring }, null, 2);
  await replaceFile(join(dataFolder, FILE), `${text}\n`);
}
