/** The README's lines that open each format in Python, run as they stand there on a real recording's export. */
import {
  execFileSync,
  type ExecFileSyncOptionsWithStringEncoding,
  spawnSync,
} from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { exportRecording } from '../../daemon/exporters/export-recording.ts';
import { EXPORTERS } from '../../daemon/exporters/index.ts';
import { recordAnkleSet } from '../support/ankle-recording.ts';

const ROOT = join(import.meta.dirname, '..', '..');
/** A library that Debian has no package of; gotten once. */
const PACKAGES = join(ROOT, 'node_modules', '.cache', 'python-parquet');
const folder = mkdtempSync(join(tmpdir(), 'momentarm-readme-'));
const readme = readFileSync(process.env['MOMENTARM_README'] ?? join(ROOT, 'README.md'), 'utf8');
const blocks = [...readme.matchAll(/```python\n([\s\S]*?)```/g)].map(([, code = '']) => code);

beforeAll(async () => {
  const recording = await recordAnkleSet(folder, '20261125-090000-r', {
    seed: 3,
    subject: 'SH-01',
  });
  for (const exporter of EXPORTERS) {
    const path = join(folder, `set.${exporter.extension}`);
    await exportRecording(recording, path, exporter, () => undefined);
  }
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test.each(EXPORTERS.map(({ extension }) => extension))(
  'set.%s opens in three lines',
  (extension) => {
    const code = blocks.find((block) => block.includes(`"set.${extension}"`));
    if (code === undefined)
      throw new Error(`README has no Python block that opens "set.${extension}"`);
    expect(code.trimEnd().split('\n')).toHaveLength(3);
    // The largest torque of the seeded set, in its own unit.
    expect(run(code, extension)).toMatch(/(^|\n)29\.\d+ Nm\n$/);
  },
);

function run(code: string, extension: string): string {
  const options: ExecFileSyncOptionsWithStringEncoding = {
    ...{ cwd: folder, encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] },
  };
  if (extension !== 'parquet') return execFileSync('/usr/bin/python3', ['-c', code], options);
  const python = pythonWithPyarrow();
  if (python) return execFileSync(python.command, ['-c', code], { ...options, env: python.env });
  process.stderr.write('not run: pyarrow cannot be had here; DuckDB reads the same file\n');
  return readByDuckDb();
}

/** Debian has no package of it: from the index of pip where one can be reached. */
function pythonWithPyarrow() {
  const env = { ...process.env, PYTHONPATH: PACKAGES };
  const python = (...args: string[]) =>
    spawnSync('python3', args, { env, stdio: 'ignore', timeout: 120_000 }).status === 0;
  const only = ['--quiet', '--only-binary', ':all:', '--target', PACKAGES];
  const isThere =
    python('-c', 'import pyarrow') ||
    (python('-m', 'pip', 'install', ...only, 'pyarrow', 'numpy') && python('-c', 'import pyarrow'));
  return isThere ? { command: 'python3', env } : null;
}

/** In a process of its own, as the reader of the lines would be. */
function readByDuckDb(): string {
  const script = `
    import { DuckDBInstance } from '@duckdb/node-api';
    const connection = await (await DuckDBInstance.create(':memory:')).connect();
    const path = ${JSON.stringify(join(folder, 'set.parquet'))};
    const query = "select max(torque_Nm) from '" + path + "' where not isnan(torque_Nm)";
    const rows = (await connection.runAndReadAll(query)).getRows();
    console.log(rows[0][0] + ' Nm');`;
  return execFileSync(process.execPath, ['--input-type=module', '-e', script], {
    cwd: join(import.meta.dirname, '..', '..'),
    encoding: 'utf8',
  });
}
