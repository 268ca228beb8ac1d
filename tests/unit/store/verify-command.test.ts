import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { UsageError } from '../../../daemon/cli/command.ts';
import { verifyCommand } from '../../../daemon/cli/verify.ts';
import { blocksOver, formatOf, recordBlocks, withFolder } from '../../support/recordings.ts';

const FORMAT = formatOf(['int16', 'int16']);

async function run(...args: string[]): Promise<{ status: number; out: string }> {
  const lines: string[] = [];
  const status = await verifyCommand.run(args, {
    out: (line) => lines.push(line),
    err: (line) => lines.push(`err: ${line}`),
  });
  return { status, out: lines.join('\n') };
}

function damage(folder: string): void {
  const path = join(folder, 'stream-0.blk');
  const bytes = readFileSync(path);
  bytes[5000] = (bytes[5000] ?? 0) ^ 4;
  writeFileSync(path, bytes);
}

describe('verify', () => {
  test('finds a recording by its id and by its folder', async () => {
    await withFolder(async (data) => {
      const { folder } = await recordBlocks(data, 'a', blocksOver(FORMAT, 0, 960));
      const expected = { status: 0, out: 'a: sound (10 blocks, 960 samples, 0.960 s)' };
      expect(await run('a', '--data', data)).toEqual(expected);
      expect(await run(folder)).toEqual(expected);
    });
  });

  test('tells damage by byte and time, and repairs into a copy', async () => {
    await withFolder(async (data) => {
      const { folder } = await recordBlocks(data, 'a', blocksOver(FORMAT, 0, 960));
      damage(folder);
      const { status, out } = await run(folder, '--repair');
      expect(status).toBe(1);
      expect(out.split('\n')).toEqual([
        'a: DAMAGED (9 blocks, 864 samples, 0.960 s)',
        '  stream-0.blk, bytes 4552 to 5008 (0.096 s to 0.192 s): the samples of one block are damaged; at most 96 samples lost',
        '  in all at most 96 samples are lost',
        `  a sound copy is in ${folder}-repaired`,
      ]);
      expect((await run(`${folder}-repaired`)).status).toBe(0);
    });
  });

  test('--json prints one document for one, a list for several', async () => {
    await withFolder(async (data) => {
      const { folder } = await recordBlocks(data, 'a', blocksOver(FORMAT, 0, 960));
      const one: unknown = JSON.parse((await run(folder, '--json')).out);
      expect(one).toMatchObject({ id: 'a', isSound: true, samples: 960, repairedAs: null });
      damage(folder);
      const { status, out } = await run(folder, folder, '--json');
      expect(status).toBe(1);
      expect(JSON.parse(out)).toMatchObject([
        { findings: [{ file: 'stream-0.blk', start_s: 0.096, lostSamples: 96 }] },
        { isSound: false },
      ]);
    });
  });

  test('a recording without an end is told', async () => {
    await withFolder(async (data) => {
      const { folder } = await recordBlocks(data, 'a', blocksOver(FORMAT, 0, 960));
      writeFileSync(join(folder, 'stop.json'), '{}');
      const damaged = await run(folder);
      expect(damaged.status).toBe(1);
      expect(damaged.out).toContain('stop.json: its checksum is wrong');
      rmSync(join(folder, 'stop.json'));
      const open = await run(folder);
      expect(open.status).toBe(1);
      expect(open.out).toMatch(/^a: NOT CLOSED .*\n {2}stop.json: it is missing: [^\n]*$/);
    });
  });

  test('what cannot be used is one line that says what would do', async () => {
    await withFolder(async (data) => {
      for (const args of [
        [],
        ['nothing', '--data', data],
        ['../x', '--data', data],
        ['--nonsense'],
      ]) {
        await expect(run(...args)).rejects.toThrow(UsageError);
      }
    });
  });
});
