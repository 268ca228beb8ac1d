/**
 * `npm test`: every check of the house, then one line `N passed, N failed`.
 * With arguments (after `--`) only the test files that match them run.
 */
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { getTools } from './support/tools.mjs';

const MODULES = 'node_modules';
const vitest = join(MODULES, 'vitest', 'vitest.mjs');
const say = (line) => process.stderr.write(`momentarm: ${line}\n`);

/** Checks of the text itself; each counts as one. */
const STATIC_CHECKS = [
  { name: 'types', args: [join(MODULES, 'typescript', 'bin', 'tsc'), '-b'] },
  {
    name: 'types of the pages',
    args: [join(MODULES, 'svelte-check', 'bin', 'svelte-check'), '--tsconfig', 'web/tsconfig.json'],
  },
  { name: 'lint', args: [join(MODULES, 'eslint', 'bin', 'eslint.js'), '--max-warnings', '0', '.'] },
  { name: 'format', args: [join(MODULES, 'prettier', 'bin', 'prettier.cjs'), '--check', '.'] },
  {
    name: 'who may import whom',
    args: [
      join(MODULES, 'dependency-cruiser', 'bin', 'dependency-cruise.mjs'),
      'shared',
      'daemon',
      'web',
    ],
  },
  { name: 'nothing unused', args: [join(MODULES, 'knip', 'bin', 'knip.js'), '--no-progress'] },
];

/** Runs node with `args`; resolves with the exit status and all that was printed. */
function node(args, { isShown }) {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, args, {
      stdio: isShown ? 'inherit' : ['ignore', 'pipe', 'pipe'],
      env: { ...process.env, FORCE_COLOR: '0' },
    });
    const kept = [];
    for (const stream of [child.stdout, child.stderr]) stream?.on('data', (p) => kept.push(p));
    child.on('close', (code) => resolve({ code: code ?? 1, text: Buffer.concat(kept).toString() }));
  });
}

async function staticChecks() {
  let failed = 0;
  for (const { name, args } of STATIC_CHECKS) {
    const { code, text } = await node(args, { isShown: false });
    say(`${code === 0 ? 'passed' : 'FAILED'}: ${name}`);
    if (code === 0) continue;
    failed += 1;
    process.stdout.write(text.slice(-8000));
  }
  return { passed: STATIC_CHECKS.length - failed, failed };
}

/** Runs test files and counts; a run that broke before its report counts as one failure. */
async function testFiles(args) {
  const folder = mkdtempSync(join(tmpdir(), 'momentarm-tests-'));
  const report = join(folder, 'report.json');
  const reporters = ['--reporter=default', '--reporter=json', `--outputFile=${report}`];
  const { code } = await node([vitest, 'run', ...reporters, ...args], { isShown: true });
  try {
    const counts = JSON.parse(readFileSync(report, 'utf8'));
    const skipped = counts.numPendingTests + counts.numTodoTests;
    const failed = counts.numFailedTests + (counts.numFailedTests === 0 && code !== 0 ? 1 : 0);
    if (skipped > 0) say(`${skipped} tests did not run`);
    return { passed: counts.numPassedTests, failed: failed + (process.env.CI ? skipped : 0) };
  } catch {
    return { passed: 0, failed: 1 };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const chosen = process.argv.slice(2);
const missing = getTools(say);
const runs =
  chosen.length > 0
    ? [await testFiles(chosen)]
    : [
        ...(await Promise.all([staticChecks(), testFiles(['--project', 'quick'])])),
        await testFiles(['--project', 'slow']),
      ];
const passed = runs.reduce((sum, run) => sum + run.passed, 0);
const failed = runs.reduce((sum, run) => sum + run.failed, 0) + missing.length;
process.stdout.write(`${passed} passed, ${failed} failed\n`);
process.exit(failed === 0 && passed > 0 ? 0 : 1);
