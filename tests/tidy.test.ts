/** The rules of the house that no compiler holds. A broken one prints what to do instead. */
import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { describe, expect, test } from 'vitest';

const ROOT = join(import.meta.dirname, '..');
const MOST_LINES = 400;

const tracked = execFileSync('git', ['ls-files'], { cwd: ROOT, encoding: 'utf8' })
  .split('\n')
  .filter((path) => path !== '' && existsSync(join(ROOT, path)));
const text = new Map(tracked.filter(isText).map((path) => [path, readText(path)]));

function isText(path: string) {
  return (
    /\.(ts|mjs|cjs|js|svelte|css|html|md|json|py|c)$/.test(path) && !path.startsWith('tests/golden')
  );
}

function readText(path: string) {
  return readFileSync(join(ROOT, path), 'utf8');
}

/** `path:line: what to do` for every line of the chosen files that matches. */
function offences(inFiles: RegExp, pattern: RegExp, advice: string, except = /$^/) {
  return [...text]
    .filter(([path]) => inFiles.test(path) && !except.test(path))
    .flatMap(([path, content]) =>
      content
        .split('\n')
        .flatMap((line, i) => (pattern.test(line) ? [`${path}:${i + 1}: ${advice}`] : [])),
    );
}

describe('tidy', () => {
  test('the top level stays as it is', () => {
    const expected = new Set(['daemon', 'shared', 'tests', 'web', 'README.md', 'DEVELOPERS.md']);
    const isKnown = (name: string) =>
      expected.has(name) ||
      name.startsWith('.') ||
      name === 'LICENSE' ||
      name === 'knip.json' ||
      /^(package|package-lock|tsconfig)\.json$/.test(name) ||
      /\.config(\.daemon)?\.(js|ts)$/.test(name);
    const top = new Set(tracked.map((path) => path.split('/')[0] ?? ''));
    expect([...top].filter((name) => !isKnown(name))).toEqual([]);
  });

  test('shared/ has neither clock nor chance', () => {
    const found = offences(
      /^shared\/.*\.ts$/,
      /\b(Date\.now|new Date\(\)|Math\.random|performance\.now)\b/,
      'hand time or a seeded generator in as an argument',
    );
    expect(found).toEqual([]);
  });

  test('the daemon reads the clock in one file', () => {
    const found = offences(
      /^daemon\/.*\.ts$/,
      /\bDate\.now\b|new Date\(\)|\bhrtime\b|performance\.now/,
      'take monotonic_ns or wallClock from daemon/clock.ts, or an argument',
      /^daemon\/clock\.ts$/,
    );
    expect(found).toEqual([]);
  });

  test('the pages open sockets in one file', () => {
    const found = offences(
      /^web\/.*\.(ts|svelte)$/,
      /new WebSocket\(/,
      'use web/lib/link.ts',
      /^web\/lib\/link(\.svelte)?\.ts$/,
    );
    expect(found).toEqual([]);
  });

  test('no file is longer than its idea', () => {
    const long = [...text]
      .filter(([path]) => /\.(ts|mjs|svelte|css)$/.test(path))
      .map(([path, content]) => [path, content.split('\n').length] as const)
      .filter(([, lines]) => lines > MOST_LINES)
      .map(([path, lines]) => `${path}: ${lines} lines; look for the second idea and move it out`);
    expect(long).toEqual([]);
  });

  test('nothing is put off and nothing is left out', () => {
    const later = ['TO', 'DO|FIX', 'ME|\\.on', 'ly\\(|(it|test|describe)\\.sk', 'ip\\b'].join('');
    const found = offences(/\.(ts|mjs|svelte)$/, new RegExp(later), 'do it now, or file it');
    expect(found).toEqual([]);
  });

  test('no page says what we must not say', () => {
    const found = offences(
      /^web\/lib\/i18n\//,
      /['"`][^'"`]*\b(safe|sincere|sincerity|deficit|diagnos(is|es) of|OK to)\b[^'"`]*['"`]/i,
      'say what was measured, e.g. "no limit flagged"',
    );
    expect(found).toEqual([]);
  });

  test('every member of a family is on its list', () => {
    const families = [
      'shared/decode',
      'shared/joints',
      'shared/flags',
      'shared/measures',
      'shared/stages',
      'daemon/sources',
    ];
    /** Files that serve a family without being a member of it. */
    const isMember = (path: string) =>
      / satisfies (Dialect|JointPattern|Source|Stage|Measure|LiveFlag|OfflineFlag)\b|: (Dialect|JointPattern|Source|Stage|Measure|LiveFlag|OfflineFlag) =/.test(
        text.get(path) ?? '',
      );
    const missing = families.flatMap((folder) => {
      const list = text.get(`${folder}/index.ts`) ?? '';
      return tracked
        .filter((path) => dirname(path) === folder && basename(path) !== 'index.ts')
        .filter((path) => isMember(path) && !list.includes(`./${basename(path)}'`))
        .map((path) => `${path}: add it to ${folder}/index.ts`);
    });
    expect(missing).toEqual([]);
  });

  test('the lock names no registry and carries the builder for every platform', () => {
    const lock = readText('package-lock.json');
    expect(lock).not.toMatch(/"resolved": "http/);
    for (const platform of ['linux-x64-gnu', 'linux-arm64-gnu', 'darwin-arm64', 'win32-x64-msvc']) {
      expect(lock).toContain(`@rolldown/binding-${platform}`);
    }
  });
});
