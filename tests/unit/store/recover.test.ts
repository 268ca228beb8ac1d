import { readdirSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { BLOCK_HEADER_BYTES, blockLayout } from '../../../shared/record/layout.ts';
import { openStore } from '../../../daemon/store/recordings.ts';
import { verifyRecording } from '../../../daemon/store/verify.ts';
import {
  blocksOver,
  formatOf,
  recordBlocks,
  readBack,
  withFolder,
  wrongSamples,
} from '../../support/recordings.ts';

const FORMAT = formatOf(['int16', 'float32']);
const { stride } = blockLayout(FORMAT);
const HEAD = 4096;
const NOW = new Date('2026-11-08T08:00:00.000Z');

/** A recording of ten blocks as a crash leaves it. */
async function crashed(data: string): Promise<string> {
  const { folder } = await recordBlocks(data, 'a', blocksOver(FORMAT, 1000, 1960));
  rmSync(join(folder, 'stop.json'));
  return folder;
}

describe('recovery', () => {
  test('leaves closed recordings alone', async () => {
    await withFolder(async (data) => {
      const { folder } = await recordBlocks(data, 'a', blocksOver(FORMAT, 0, 960));
      const before = readdirSync(folder).map((name) => readFileSync(join(folder, name)));
      expect(await openStore(data).recover(NOW)).toEqual([]);
      expect(readdirSync(folder).map((name) => readFileSync(join(folder, name)))).toEqual(before);
    });
  });

  test('closes an open one and says so', async () => {
    await withFolder(async (data) => {
      const folder = await crashed(data);
      const [recovered] = await openStore(data).recover(NOW);
      expect(recovered).toMatchObject({
        id: 'a',
        stop: { status: 'recovered', samples: 960, stoppedAt: NOW.toISOString(), torn: [] },
      });
      expect(verifyRecording(folder)).toMatchObject({ isSound: true, closed: 'recovered' });
      expect(openStore(data).get('a')?.stop).toMatchObject({
        firstIndex: 1000,
        endIndex: 1960,
      });
      expect(await openStore(data).recover(NOW)).toEqual([]);
    });
  });

  test('cuts a torn end at the last whole block and keeps the bytes', async () => {
    await withFolder(async (data) => {
      const folder = await crashed(data);
      const path = join(folder, 'stream-0.blk');
      const whole = readFileSync(path);
      truncateSync(path, whole.length - 100);
      const [recovered] = await openStore(data).recover(NOW);
      const at = whole.length - stride;
      const name = `stream-0.blk.${at}.torn`;
      expect(recovered?.stop).toMatchObject({
        samples: 864,
        torn: [{ name, from: 'stream-0.blk', offset: at, bytes: stride - 100 }],
      });
      expect(readFileSync(join(folder, name)).equals(whole.subarray(at, whole.length - 100))).toBe(
        true,
      );
      expect(readFileSync(path).equals(whole.subarray(0, at))).toBe(true);
      expect(verifyRecording(folder).isSound).toBe(true);
      expect(wrongSamples(readBack(data, 'a'))).toEqual({ nRead: 864, nWrong: 0 });
    });
  });

  test('a damaged block in the middle costs that block and is told by its time', async () => {
    await withFolder(async (data) => {
      const folder = await crashed(data);
      const path = join(folder, 'stream-0.blk');
      const bytes = readFileSync(path);
      bytes.fill(0xff, HEAD + 3 * stride + BLOCK_HEADER_BYTES, HEAD + 3 * stride + 80);
      writeFileSync(path, bytes);
      const [recovered] = await openStore(data).recover(NOW);
      expect(recovered?.stop).toMatchObject({ samples: 864, missing: 96, gaps: 1 });
      expect(recovered?.stop?.segments[0]).toMatchObject({ damagedBlocks: 1, blocks: 9 });
      expect(readFileSync(path).equals(bytes)).toBe(true);
      const report = verifyRecording(folder);
      expect(report.findings).toHaveLength(1);
      expect(report.findings[0]).toMatchObject({
        fromByte: HEAD + 3 * stride,
        toByte: HEAD + 4 * stride,
        start_s: 0.288,
        end_s: 0.384,
        lostSamples: 96,
        message: 'the samples of one block are damaged; at most 96 samples lost',
      });
    });
  });

  test('a torn line of events is cut and kept', async () => {
    await withFolder(async (data) => {
      const folder = await crashed(data);
      const path = join(folder, 'events.jsonl');
      const whole = readFileSync(path);
      writeFileSync(path, Buffer.concat([whole, Buffer.from('{"sequence":99,"ki')]));
      const [recovered] = await openStore(data).recover(NOW);
      expect(recovered?.stop?.torn).toMatchObject([{ from: 'events.jsonl', bytes: 18 }]);
      expect(readFileSync(path).equals(whole)).toBe(true);
      expect(verifyRecording(folder).isSound).toBe(true);
    });
  });

  test('a second fault while recovering changes nothing', async () => {
    await withFolder(async (data) => {
      const folder = await crashed(data);
      const path = join(folder, 'stream-0.blk');
      const whole = readFileSync(path);
      const at = whole.length - stride;
      truncateSync(path, whole.length - 100);
      // As if the first attempt had kept the bytes and died before it cut them off.
      writeFileSync(
        join(folder, `stream-0.blk.${at}.torn`),
        whole.subarray(at, whole.length - 100),
      );
      const [recovered] = await openStore(data).recover(NOW);
      expect(recovered?.stop).toMatchObject({ samples: 864, torn: [{ bytes: stride - 100 }] });
      // As if it had died after the cut, before the closing document.
      rmSync(join(folder, 'stop.json'));
      const [again] = await openStore(data).recover(NOW);
      expect(again?.stop).toEqual(recovered?.stop);
    });
  });

  test('a lost head or start document is taken from its copy in the events', async () => {
    await withFolder(async (data) => {
      const folder = await crashed(data);
      const path = join(folder, 'stream-0.blk');
      const bytes = readFileSync(path);
      bytes.fill(0, 0, HEAD);
      writeFileSync(path, bytes);
      rmSync(join(folder, 'start.json'));
      await openStore(data).recover(NOW);
      expect(wrongSamples(readBack(data, 'a'))).toEqual({ nRead: 960, nWrong: 0 });
      expect(openStore(data).get('a')?.start?.station).toBe('North');
      const report = verifyRecording(folder);
      expect(report.lostSamples).toBe(0);
      expect(report.findings.map(({ file }) => file)).toEqual(['start.json', 'stream-0.blk']);
    });
  });

  test('a folder with nothing in it yet is closed as empty', async () => {
    await withFolder(async (data) => {
      const folder = await crashed(data);
      for (const name of readdirSync(folder)) rmSync(join(folder, name));
      const [recovered] = await openStore(data).recover(NOW);
      expect(recovered?.stop).toMatchObject({ id: 'a', samples: 0, segments: [] });
      expect(openStore(data).get('a')?.start).toBeNull();
    });
  });
});
