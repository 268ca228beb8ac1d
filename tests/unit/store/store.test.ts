import { copyFileSync, existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { isRecordingId, recordingId } from '../../../daemon/store/file-names.ts';
import { readSamples } from '../../../daemon/store/read-blocks.ts';
import { openRecording } from '../../../daemon/store/recording.ts';
import { readOverview, type OverviewQuery } from '../../../daemon/store/overview.ts';
import { openStore } from '../../../daemon/store/recordings.ts';
import { readSignal } from '../../../daemon/store/signal.ts';
import { repairRecording } from '../../../daemon/store/repair.ts';
import { verifyRecording } from '../../../daemon/store/verify.ts';
import { blockLayout } from '../../../shared/record/layout.ts';
import {
  blocksOver,
  formatOf,
  NORTH,
  recordBlocks,
  recorderIn,
  valueAt,
  readBack,
  withFolder,
  wrongSamples,
} from '../../support/recordings.ts';

const FORMAT = formatOf(['int16', 'float32']);
const { stride } = blockLayout(FORMAT);
const HEAD = 4096;

describe('ids', () => {
  test('begin with the start and are file names everywhere', () => {
    const id = recordingId(
      new Date('2026-11-07T09:15:02.999Z'),
      Uint8Array.from({ length: 10 }, () => 255),
    );
    expect(id).toBe('20261107-091502-zzzzzzzzzzzzzzzz');
    expect(recordingId(new Date(0), new Uint8Array(10))).toBe('19700101-000000-0000000000000000');
    expect(isRecordingId(id)).toBe(true);
  });

  test('are told from paths', () => {
    for (const text of [
      '',
      '.',
      '..',
      'a/b',
      'a\\b',
      '../a',
      'a.b',
      '-a',
      'a\0',
      'con:',
      'a'.repeat(99),
    ]) {
      expect(isRecordingId(text)).toBe(false);
    }
  });
});

describe('store', () => {
  test('knows recordings by their ids and nothing else', async () => {
    await withFolder(async (data) => {
      expect(openStore(data).get('a')).toBeNull();
      await recordBlocks(data, 'a', blocksOver(FORMAT, 0, 100));
      expect(openStore(data).get('a')?.stop?.samples).toBe(100);
      expect(openStore(data).get('../recordings/a')).toBeNull();
      mkdirSync(join(data, 'recordings', '.hidden'));
      writeFileSync(join(data, 'recordings', 'note.txt'), 'x');
      expect(await openStore(data).recover(new Date(0))).toEqual([]);
    });
  });

  test('reads any range, also beside damage', async () => {
    await withFolder(async (data) => {
      const { folder } = await recordBlocks(data, 'a', blocksOver(FORMAT, 1000, 5000));
      const path = join(folder, 'stream-0.blk');
      const bytes = readFileSync(path);
      for (const k of [10, 11, 12, 30]) bytes.fill(7, HEAD + k * stride, HEAD + k * stride + 60);
      writeFileSync(path, bytes);
      const isLost = (index: number) => [10, 11, 12, 30].includes(Math.floor((index - 1000) / 96));
      for (const [fromIndex, toIndex] of [
        [0, 1],
        [1000, 1001],
        [1950, 2300],
        [2160, 2260],
        [2250, 2260],
        [3900, 9e9],
        [4999, 5000],
        [5000, 6000],
      ] as const) {
        const expected = Array.from({ length: 4000 }, (_, k) => 1000 + k).filter(
          (index) => index >= fromIndex && index < toIndex && !isLost(index),
        );
        const got = [...readSamples(openRecording(folder).files, { fromIndex, toIndex })].flatMap(
          ({ index, n }) => Array.from({ length: n }, (_, i) => index + i),
        );
        expect(got).toEqual(expected);
      }
      expect(wrongSamples(readBack(data, 'a'))).toEqual({
        nRead: 4000 - 384,
        nWrong: 0,
      });
    });
  });

  test('an overview is the true least and largest value of every bucket', async () => {
    await withFolder(async (data) => {
      const isMissing = (index: number) => index >= 3000 && index < 4000;
      const { folder } = await recordBlocks(data, 'a', blocksOver(FORMAT, 1000, 9000, isMissing));
      const look = (query: OverviewQuery) => readOverview(openRecording(folder), query);
      const whole = { column: 'ai0', fromIndex: 1000, toIndex: 9000, buckets: 4 };
      const wide = await look(whole);
      expect(existsSync(join(folder, 'overview-0.bin'))).toBe(true);
      const all = Array.from({ length: 8000 }, (_, k) => k + 1000).filter((k) => !isMissing(k));
      const values = all.map((k) => valueAt('int16', 0, k));
      expect(Math.min(...(wide?.min ?? []))).toBe(Math.min(...values));
      expect(Math.max(...(wide?.max ?? []))).toBe(Math.max(...values));
      const narrow = await look({
        ...whole,
        fromIndex: 2900,
        toIndex: 4100,
        buckets: 12,
      });
      for (let k = 0; k < 12; k += 1) {
        const inBucket = all.filter((i) => i >= 2900 + 100 * k && i < 3000 + 100 * k);
        const expected = inBucket.map((i) => valueAt('int16', 0, i));
        expect(narrow?.min[k]).toBe(expected.length > 0 ? Math.min(...expected) : Number.NaN);
        expect(narrow?.max[k]).toBe(expected.length > 0 ? Math.max(...expected) : Number.NaN);
      }
      expect(await look({ ...whole, column: 'nothing' })).toBeNull();
      const kept = readFileSync(join(folder, 'overview-0.bin'));
      writeFileSync(
        join(folder, 'overview-0.bin'),
        kept.map((byte, k) => (k === 99 ? byte ^ 1 : byte)),
      );
      expect(await look(whole)).toEqual(wide);
      expect(readFileSync(join(folder, 'overview-0.bin')).equals(kept)).toBe(true);
      expect(verifyRecording(folder).isSound).toBe(true);
    });
  });

  test('gives the calibrated signal over the time since the first sample', async () => {
    await withFolder(async (data) => {
      const wiring = {
        version: 1,
        station: 'North',
        channels: [
          { channel: 'ai0', quantity: 'torque', unit: 'Nm', slope: 0.5, offset: 2, sign: -1 },
          { channel: 'ai1', quantity: 'angle', unit: 'deg', slope: 10 },
        ],
      };
      const recorder = recorderIn(data, 'a', { start: { id: 'a', ...NORTH, wiring } });
      for (const block of blocksOver(FORMAT, 1000, 1100, (k) => k === 1040)) recorder.write(block);
      for (const block of blocksOver(FORMAT, 60_000, 60_100)) recorder.write(block);
      await recorder.close('test');
      const reading = readSignal(openRecording(join(data, 'recordings', 'a')));
      if ('problem' in reading) throw new Error(reading.problem);
      const { time_s, torque_Nm, angle_deg, rate_Hz } = reading.signal;
      expect(rate_Hz).toBe(1000);
      expect(time_s.length).toBe(200);
      expect([time_s[0], time_s[1], time_s[99], time_s[100]]).toEqual([0, 0.001, 0.099, 59]);
      expect(torque_Nm[0]).toBe(-0.5 * valueAt('int16', 0, 1000) - 2);
      expect([torque_Nm[40], torque_Nm[59], angle_deg?.[50]]).toEqual([NaN, NaN, NaN]);
      expect(angle_deg?.[199]).toBe(10 * valueAt('float32', 1, 60_099));
      const overview = await readOverview(openRecording(join(data, 'recordings', 'a')), {
        column: 'torque_Nm',
        fromIndex: 1000,
        toIndex: 1001,
        buckets: 1,
      });
      expect(overview).toMatchObject({ unit: 'Nm', min: new Float64Array([torque_Nm[0] ?? 0]) });
    });
  });

  test('a recording without torque has no signal, and says what would do', async () => {
    await withFolder(async (data) => {
      await recordBlocks(data, 'a', blocksOver(FORMAT, 0, 100));
      expect(readSignal(openRecording(join(data, 'recordings', 'a')))).toEqual({
        problem: 'no channel of it is torque: name one in the wiring file',
      });
    });
  });

  test('after a write error the samples that stand in two files are read once', async () => {
    await withFolder(async (data) => {
      const one = await recordBlocks(data, 'a', blocksOver(FORMAT, 0, 960));
      const two = await recordBlocks(data, 'b', blocksOver(FORMAT, 480, 1440));
      const bytes = readFileSync(join(one.folder, 'stream-0.blk'));
      bytes.fill(1, HEAD + 6 * stride, HEAD + 7 * stride);
      writeFileSync(join(one.folder, 'stream-0.blk'), bytes);
      copyFileSync(join(two.folder, 'stream-0.blk'), join(one.folder, 'stream-1.blk'));
      const blocks = [...readBack(data, 'a')];
      expect(wrongSamples(blocks)).toEqual({ nRead: 1440, nWrong: 0 });
      expect(blocks.map(({ index }) => index)).toEqual(blocks.map((_, k) => k * 96));
    });
  });
});

describe('repair', () => {
  test('writes a sound copy of all that can be read and leaves the original alone', async () => {
    await withFolder(async (data) => {
      const { folder } = await recordBlocks(data, 'a', blocksOver(FORMAT, 1000, 1960));
      const path = join(folder, 'stream-0.blk');
      const bytes = readFileSync(path);
      for (const k of [0, 4]) bytes[HEAD + k * stride + 90] = 3;
      writeFileSync(path, bytes);
      const copy = await repairRecording(folder, new Date(0));
      expect(copy).toBe(`${folder}-repaired`);
      expect(readFileSync(path).equals(bytes)).toBe(true);
      expect(verifyRecording(folder)).toMatchObject({ isSound: false, lostSamples: 192 });
      const report = verifyRecording(copy);
      expect(report).toMatchObject({ isSound: true, closed: 'repaired', samples: 768, blocks: 8 });
      expect(openRecording(copy).stop).toMatchObject({
        firstIndex: 1000,
        lost: [
          { fromIndex: 1000, toIndex: 1096, reason: 'damaged in the original' },
          { fromIndex: 1384, toIndex: 1480, reason: 'damaged in the original' },
        ],
      });
      expect(wrongSamples(readBack(data, 'a-repaired'))).toEqual({
        nRead: 768,
        nWrong: 0,
      });
      expect(await repairRecording(folder, new Date(0))).toBe(`${folder}-repaired-2`);
    });
  });
});
