/** The frame around the commands: help everywhere, one line for what a user can cause. */
import { describe, expect, it } from 'vitest';
import { runProgram } from '../../../daemon/cli/index.ts';

async function run(...args: string[]) {
  const out: string[] = [];
  const err: string[] = [];
  const io = {
    out: (line: string) => void out.push(line),
    err: (line: string) => void err.push(line),
  };
  const code = await runProgram(args, io);
  return { code, out: out.join('\n'), err };
}

describe('program', () => {
  it.each([[], ['--help'], ['-h'], ['help']])('tells its commands for %j', async (...args) => {
    const { code, out, err } = await run(...args);
    expect(code).toBe(0);
    expect(out).toMatch(/^ {2}serve +\S/m);
    expect(err).toEqual([]);
  });

  it('knows an unknown command and says which there are', async () => {
    const { code, out, err } = await run('srve');
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toEqual([expect.stringMatching(/unknown command srve: known are serve/)]);
  });

  it('helps with each command', async () => {
    const { out } = await run('serve', '--help', '--nonsense');
    expect(out).toContain('--source demo:');
  });

  it('says in one line what cannot be used', async () => {
    const { code, err } = await run('serve', '--port', 'x\ny');
    expect(code).toBe(2);
    expect(err).toHaveLength(1);
    expect(err[0]).not.toContain('\n');
    expect(err[0]).toMatch(/^momentarm serve: --port x y/);
  });
});
