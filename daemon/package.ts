/** Where the program stands on the disk, and its version; the same from its sources and when built. */
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import * as v from 'valibot';

const packageSchema = v.object({ version: v.string() });

export function packageVersion(): string {
  const text = readFileSync(join(packageFolder(), 'package.json'), 'utf8');
  return v.parse(packageSchema, JSON.parse(text)).version;
}

/** The built pages. */
export function webFolder(): string {
  return join(packageFolder(), 'dist', 'web');
}

function packageFolder(): string {
  let folder = import.meta.dirname;
  while (!existsSync(join(folder, 'package.json'))) {
    const above = dirname(folder);
    if (above === folder) throw new Error('the program does not stand in its package');
    folder = above;
  }
  return folder;
}
