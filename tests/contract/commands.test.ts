/** Every command of the program: helps, and says in one line what it cannot use, with exit status 2. */
import { beforeAll, describe, expect, it } from 'vitest';
import { runProgram } from '../../daemon/cli/index.ts';

async function run(...args: string[]) {
  const out: string[] = [];
  const err: string[] = [];
  const code = await runProgram(args, {
    out: (line) => void out.push(line),
    err: (line) => void err.push(line),
  });
  return { code, out: out.join('\n'), err };
}

const help = await run('--help');
const COMMANDS = [...help.out.matchAll(/^ {2}([a-z]+) {2,}(\S.*)$/gm)].map(([, name = '']) => name);

beforeAll(() => {
  // Those that the contract names; others may come.
  expect(COMMANDS).toEqual(
    expect.arrayContaining(['serve', 'analyze', 'export', 'verify', 'emulate']),
  );
});

describe.each(COMMANDS)('%s', (name) => {
  it.each(['--help', '-h'])('%s tells how it is used', async (word) => {
    const { code, out, err } = await run(name, word);
    expect(code).toBe(0);
    expect(err).toEqual([]);
    expect(out).toMatch(/^Usage: /m);
  });

  it.each([
    ['an unknown option', ['--no-such-option']],
    ['an option without its value', ['--no-such-option=', 'x']],
    ['an empty word', ['']],
    ['a file that is not there', ['no-such-file-anywhere.csv', '--out', 'no-such-folder/x']],
  ])('refuses %s in one line', async (_, args) => {
    const { code, out, err } = await run(name, ...args);
    expect(code, err.join('\n')).toBe(2);
    expect(out).toBe('');
    expect(err).toHaveLength(1);
    expect(err[0]).toMatch(new RegExp(`^momentarm ${name}: .*\\S`));
    expect(err[0]).not.toMatch(/\n|\bat .*\.ts|ENOENT|undefined|\[object/);
  });
});
