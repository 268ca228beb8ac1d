/** The README's lines that open each format in Python, run as they stand there on a real recording's export. */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
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
  const options = { cwd: folder, encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] } as const;
  if (extension !== 'parquet') return execFileSync('/usr/bin/python3', ['-c', code], options);
  if (!existsSync(join(PACKAGES, 'pyarrow'))) {
    const only = ['--quiet', '--only-binary', ':all:', '--target', PACKAGES];
    execFileSync('python3', ['-m', 'pip', 'install', ...only, 'pyarrow', 'numpy'], options);
  }
  const env = { ...process.env, PYTHONPATH: PACKAGES };
  return execFileSync('python3', ['-c', code], { ...options, env });
}
