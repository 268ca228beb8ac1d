/** Twelve hexadecimal digits that stand for a data folder in every entry it makes, kept in its `origin.json`. */
import { randomBytes } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import * as v from 'valibot';
import { replaceFile } from '../platform.ts';

export const ORIGIN_FILE = 'origin.json';
const originSchema = v.object({ origin: v.pipe(v.string(), v.regex(/^[0-9a-f]{12}$/)) });

/** A folder that lost it becomes another origin: numbers already given are never given again. */
export async function originOf(dataFolder: string): Promise<string> {
  const path = join(dataFolder, ORIGIN_FILE);
  try {
    return v.parse(originSchema, JSON.parse(await readFile(path, 'utf8'))).origin;
  } catch {
    const origin = randomBytes(6).toString('hex');
    await replaceFile(path, `${JSON.stringify({ origin })}\n`);
    return origin;
  }
}
