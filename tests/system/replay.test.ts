/** What was recorded, or stands in a table, comes out of `replay:` again: every number, hole and pace. */
import { join } from 'node:path';
import { writeFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import type { StreamBlock } from '../../shared/block/block.ts';
import { UsageError } from '../../daemon/cli/command.ts';
import { replay, replayFrom } from '../../daemon/sources/replay.ts';
import { createFeed } from '../../daemon/sources/supervise.ts';
import { parseSourceUrl } from '../../daemon/sources/url.ts';
import {
  blocksOver,
  formatOf,
  NORTH,
  recordBlocks,
  recorderIn,
  withFolder,
} from '../support/recordings.ts';

const FORMAT = formatOf(['int16', 'int24', 'float64']);

/** The blocks of the first time round. */
async function replayed(url: string, data = './data'): Promise<StreamBlock[]> {
  const feed = createFeed({ url: parseSourceUrl(url), source: replayFrom(data) });
  const blocks: StreamBlock[] = [];
  feed.blocks$.subscribe((block) => {
    if (block.run === 0 || blocks.length === 0) blocks.push(block);
  });
  const over = new Promise<void>((resolve) => {
    feed.faults$.subscribe(({ detail }) => {
      if (detail.includes('begins again')) resolve();
    });
  });
  await over;
  await feed.close();
  return blocks;
}

function rowsOf(blocks: readonly StreamBlock[], first = 0): string[] {
  return blocks.flatMap(({ columns, index, n }) =>
    Array.from(
      { length: n },
      (_, i) => `${index + i - first} ${columns.map((column) => column[i]).join(' ')}`,
    ),
  );
}

describe('replay of a recording', () => {
  test('gives every sample and hole, by id and by folder', async () => {
    await withFolder(async (data) => {
      const blocks = blocksOver(FORMAT, 7000, 8500, (k) => k === 7100 || (k > 8000 && k < 8200));
      const { folder } = await recordBlocks(data, 'a', blocks);
      const expected = rowsOf(blocks, 7000);
      expect(rowsOf(await replayed('replay:a?speed=20', data))).toEqual(expected);
      expect(rowsOf(await replayed(`replay:${folder}?speed=20`))).toEqual(expected);
    });
  });

  test('keeps the pace of the recording, or a multiple of it', async () => {
    await withFolder(async (data) => {
      await recordBlocks(data, 'a', blocksOver(FORMAT, 0, 1000));
      const begun = performance.now();
      await replayed('replay:a?speed=2', data);
      const took_ms = performance.now() - begun;
      // Half a second; not before it, and not twice as late however loaded this machine is.
      expect(took_ms).toBeGreaterThan(480);
      expect(took_ms).toBeLessThan(2000);
    });
  });

  test('brings the wiring that it was recorded with', async () => {
    await withFolder(async (data) => {
      const wiring = {
        version: 1,
        station: 'North',
        channels: [{ channel: 'ai0', quantity: 'torque', unit: 'Nm', slope: 0.5 }],
      };
      const recorder = recorderIn(data, 'a', { start: { id: 'a', ...NORTH, wiring } });
      await recorder.close('test');
      expect(replayFrom(data).wiring?.(parseSourceUrl('replay:a'))).toMatchObject(wiring);
    });
  });
});

describe('replay of a table', () => {
  const rows = Array.from({ length: 400 }, (_, k) => [k / 500, Math.sin(k / 9) * 80, k / 10]);

  test('gives its numbers, packed or not, time first wherever it stood', async () => {
    await withFolder(async (folder) => {
      const text = [
        'torque_Nm,time_s,angle_deg',
        ...rows.map(([time, torque, angle]) => `${torque},${time},${angle}`),
      ].join('\r\n');
      const [plain, packed] = [join(folder, 'set.csv'), join(folder, 'set.csv.gz')];
      writeFileSync(plain, text);
      writeFileSync(packed, gzipSync(text));
      for (const path of [plain, packed]) {
        const blocks = await replayed(`replay:${path}?speed=20&format=lines`);
        expect(blocks[0]?.format.channels.map(({ name }) => name)).toContain('torque_Nm');
        expect(blocks[0]?.format.rate_Hz).toBe(500);
        const torque = blocks.flatMap(({ format, columns }) => {
          const c = format.channels.findIndex(({ name }) => name === 'torque_Nm');
          return [...(columns[c] ?? [])];
        });
        expect(torque).toEqual(rows.map((row) => row[1]));
      }
    });
  });

  test('without a column of time it needs a rate', async () => {
    await withFolder(async (folder) => {
      const path = join(folder, 'set.csv');
      writeFileSync(
        path,
        ['torque_Nm,angle_deg', ...rows.map((row) => row.slice(1).join(','))].join('\n'),
      );
      const blocks = await replayed(`replay:${path}?speed=20&rate=250`);
      expect(blocks[0]?.format.rate_Hz).toBe(250);
      expect(rowsOf(blocks)).toHaveLength(400);
      const open = () =>
        replay.open(
          parseSourceUrl(`replay:${path}`),
          { bytes: () => undefined },
          new AbortController().signal,
        );
      await expect(open()).rejects.toThrow('rate=HZ');
    });
  });
});

test('what cannot be replayed is told in one line', async () => {
  for (const url of ['replay:', 'replay:a?speed=0', 'replay:a?speed=x', 'replay:a?what=1']) {
    expect(() => parseSourceUrl(url)).toThrow(UsageError);
  }
  await withFolder(async (folder) => {
    writeFileSync(join(folder, 'empty.csv'), '');
    writeFileSync(join(folder, 'text.csv'), '1,2,3\n4,5,6\n');
    for (const target of ['nothing', join(folder, 'empty.csv'), join(folder, 'text.csv'), folder]) {
      const opening = replay.open(
        parseSourceUrl(`replay:${target}`),
        { bytes: () => undefined },
        new AbortController().signal,
      );
      await expect(opening).rejects.toThrow(/^[^\n]{10,200}\.$/);
    }
  });
});
