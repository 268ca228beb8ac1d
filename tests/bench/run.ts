/**
 * `npm run bench`: every bench beside this file, one process each, one JSON line a figure.
 * Names after `--` choose some: `npm run bench -- decode pipeline`.
 */
import { spawnSync } from 'node:child_process';
import { readdirSync } from 'node:fs';
import { join } from 'node:path';

const TSX = join('node_modules', 'tsx', 'dist', 'cli.mjs');
const chosen = process.argv.slice(2);
const benches = readdirSync(import.meta.dirname)
  .filter((name) => name.endsWith('.ts') && name !== 'run.ts')
  .map((name) => name.slice(0, -'.ts'.length))
  .filter((name) => chosen.length === 0 || chosen.includes(name));

if (benches.length === 0) {
  process.stderr.write(`no bench of that name: ${chosen.join(', ')}\n`);
  process.exit(2);
}
let failed = 0;
for (const name of benches) {
  process.stderr.write(`bench ${name}\n`);
  const args = [TSX, join(import.meta.dirname, `${name}.ts`)];
  const { status } = spawnSync(process.execPath, args, { stdio: 'inherit' });
  if (status !== 0) failed += 1;
}
process.exit(failed === 0 ? 0 : 1);
