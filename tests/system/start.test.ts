/** What the program loads before it is ready: heavy packages wait until somebody needs them. */
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { expect, it } from 'vitest';
import { bundledProgram } from '../support/daemon.ts';

/** All that is imported at once by a file of the bundle, and by what that imports. */
function loadedBy(path: string, seen = new Set<string>()): Set<string> {
  const text = readFileSync(path, 'utf8');
  const imports = text.matchAll(/(?:^|[;\n])(?:import|export)\b[^;'"()]*?['"]([^'"]+)['"]/g);
  for (const [, name = ''] of imports) {
    if (seen.has(name)) continue;
    seen.add(name);
    if (name.startsWith('./')) loadedBy(join(dirname(path), name), seen);
  }
  return seen;
}

it('serve starts without serial, HDF5 and OpenAPI code: import such packages where they are used', async () => {
  const main = await bundledProgram();
  const chunk = /import\(["'`](\.\/serve-[\w-]+\.js)["'`]\)/.exec(readFileSync(main, 'utf8'))?.[1];
  const loaded = [...loadedBy(join(dirname(main), chunk ?? 'no-serve-chunk'))];
  expect(loaded).toContain('node:http');
  expect(loaded.filter((name) => /^(serialport|h5wasm)|openapi|parquet/.test(name))).toEqual([]);
});
