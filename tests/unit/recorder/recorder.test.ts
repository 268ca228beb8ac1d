import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { openStore } from '../../../daemon/store/recordings.ts';
import { verifyRecording } from '../../../daemon/store/verify.ts';
import {
  blockAt,
  blocksOver,
  formatOf,
  NORTH,
  recordBlocks,
  recorderIn,
  TEST_CLOCK,
  readBack,
  withFolder,
  wrongSamples,
} from '../../support/recordings.ts';

const FORMAT = formatOf(['int16', 'int24', 'float32', 'float64']);

describe('recorder', () => {
  test('keeps every sample of every type bit for bit', async () => {
    await withFolder(async (data) => {
      const { folder, stop } = await recordBlocks(data, 'a', blocksOver(FORMAT, 500, 1503));
      expect(wrongSamples(readBack(data, 'a'))).toEqual({ nRead: 1003, nWrong: 0 });
      expect(stop).toMatchObject({ status: 'complete', samples: 1003, missing: 0, gaps: 0 });
      expect(stop).toMatchObject({ firstIndex: 500, endIndex: 1503, lost: [], torn: [] });
      expect(verifyRecording(folder)).toMatchObject({ isSound: true, findings: [], notes: [] });
      expect(readdirSync(folder).sort()).toEqual(
        ['README.txt', 'events.jsonl', 'start.json', 'stop.json', 'stream-0.blk'].sort(),
      );
    });
  });

  test('counts holes and marks them', async () => {
    await withFolder(async (data) => {
      const blocks = blocksOver(FORMAT, 0, 1000, (index) => index === 40 || index >= 800);
      const later = blocksOver(FORMAT, 5000, 5100);
      const { folder, stop } = await recordBlocks(data, 'a', [...blocks, ...later]);
      expect(stop).toMatchObject({ samples: 880, missing: 4220, gaps: 2, endIndex: 5100 });
      const events = openStore(data).get('a')?.events ?? [];
      const gap = events.find(({ kind }) => kind === 'gap');
      expect(gap).toMatchObject({ at: 60, detail: { holes: 2, missing: 4220 } });
      expect(verifyRecording(folder).isSound).toBe(true);
      expect(wrongSamples(readBack(data, 'a'))).toEqual({ nRead: 880, nWrong: 0 });
    });
  });

  test('a short hole costs no room', async () => {
    await withFolder(async (data) => {
      const whole = await recordBlocks(data, 'whole', blocksOver(FORMAT, 0, 9600));
      const isEverySecond = (index: number) => (index / 20) % 2 === 1;
      const holey = await recordBlocks(data, 'holey', blocksOver(FORMAT, 0, 9600, isEverySecond));
      expect(holey.stop.samples).toBe(4800);
      const bytes = [holey, whole].map(({ stop }) => stop.segments[0]?.bytes ?? 0);
      expect(bytes[0]).toBeLessThanOrEqual(bytes[1] ?? 0);
    });
  });

  test('a changed format begins a new file', async () => {
    await withFolder(async (data) => {
      const faster = formatOf(['int16'], 2000);
      const blocks = [...blocksOver(FORMAT, 0, 200), ...blocksOver(faster, 200, 600)];
      const { folder, stop } = await recordBlocks(data, 'a', blocks);
      expect(stop.segments.map(({ name, samples, rate_Hz }) => [name, samples, rate_Hz])).toEqual([
        ['stream-0.blk', 200, 1000],
        ['stream-1.blk', 400, 2000],
      ]);
      expect(verifyRecording(folder)).toMatchObject({ isSound: true, duration_s: 0.4 });
    });
  });

  test('a missing number in a whole-number channel is kept as missing', async () => {
    await withFolder(async (data) => {
      const format = formatOf(['int16', 'int16']);
      const odd = blockAt(format, 20, 20);
      odd.columns[1]?.fill(Number.NaN, 3, 5);
      const blocks = [blockAt(format, 0, 20), odd, blockAt(format, 40, 20)];
      const { folder } = await recordBlocks(data, 'a', blocks);
      const read = [...readBack(data, 'a')];
      expect(read.map(({ n }) => n)).toEqual([20, 40]);
      expect(Array.from(read[1]?.columns[1]?.slice(0, 40) ?? [])).toEqual([
        ...(odd.columns[1] ?? []),
        ...(blocks[2]?.columns[1] ?? []),
      ]);
      expect(read[1]?.format.channels[1]?.type).toBe('int16');
      expect(verifyRecording(folder).isSound).toBe(true);
    });
  });

  test('names and notes with any characters stay inside JSON', async () => {
    await withFolder(async (data) => {
      const format = { ...formatOf(['int16']), notes: { '../x': 'µ\u0000\ud800"\\\n' } };
      const recorder = recorderIn(data, 'a');
      recorder.write(blockAt(format, 0, 100));
      recorder.event('note', 12.5, { text: '../../etc/passwd\u2028😀' });
      await recorder.close('läuft');
      const recording = openStore(data).get('a');
      expect(recording?.files[0]?.header.format.notes).toEqual(format.notes);
      expect(recording?.events.find(({ kind }) => kind === 'note')).toMatchObject({
        at: 12.5,
        detail: { text: '../../etc/passwd\u2028😀' },
      });
      expect(recording?.stop?.reason).toBe('läuft');
    });
  });

  test('says how much arrived and how much is on the disk', async () => {
    await withFolder(async (data) => {
      const recorder = recorderIn(data, 'a');
      expect(recorder.status()).toMatchObject({ samples: 0, durableSamples: 0, trouble: '' });
      for (const block of blocksOver(FORMAT, 0, 1000)) recorder.write(block);
      expect(recorder.status()).toMatchObject({ samples: 1000, durableSamples: 0 });
      await recorder.close('test');
      expect(recorder.status()).toMatchObject({ samples: 1000, durableSamples: 1000 });
    });
  });

  test('keeps bytes that nobody could decode, up to a limit', async () => {
    await withFolder(async (data) => {
      const recorder = recorderIn(data, 'a');
      const junk = Uint8Array.from({ length: 700_000 }, (_, i) => i);
      recorder.undecoded(junk);
      recorder.undecoded(junk);
      const stop = await recorder.close('test');
      expect(stop.undecodedBytes).toBe(1_400_000);
      const kept = readFileSync(`${data}/recordings/a/undecoded.bin`);
      expect(kept.length).toBe(1 << 20);
      expect(kept.subarray(0, 700_000).equals(junk)).toBe(true);
    });
  });

  test('a folder that is there already is not written into', async () => {
    await withFolder(async (data) => {
      await recordBlocks(data, 'a', blocksOver(FORMAT, 0, 100));
      const second = recorderIn(data, 'a');
      expect(await second.ready).toMatchObject({ code: 'diskWriteFailed' });
      second.write(blockAt(FORMAT, 0, 20));
      expect((await second.close('test')).samples).toBe(0);
      expect(verifyRecording(`${data}/recordings/a`)).toMatchObject({
        isSound: true,
        samples: 100,
      });
    });
  });

  test('steps of the wall clock do not touch the time of samples', async () => {
    await withFolder(async (data) => {
      const day_ms = 86_400_000;
      const steps_ms = [0, -3_600_000, 2 * day_ms, -3650 * day_ms];
      let step = 0;
      const clock = {
        monotonic_ns: TEST_CLOCK.monotonic_ns,
        wallClock: () => new Date(Date.parse(NORTH.startedAt) + (steps_ms[step] ?? 0)),
      };
      const recorder = recorderIn(data, 'a', { clock });
      for (let k = 0; k < 4; k += 1) {
        step = k;
        for (const block of blocksOver(FORMAT, 1000 * k, 1000 * k + 1000)) recorder.write(block);
        recorder.event('marker', 1000 * k, {});
      }
      const stop = await recorder.close('test');
      expect(stop).toMatchObject({ samples: 4000, missing: 0, gaps: 0 });
      expect(stop.stoppedAt).toBe('2016-11-09T09:15:00.000Z');
      const marks =
        openStore(data)
          .get('a')
          ?.events.filter(({ kind }) => kind === 'marker') ?? [];
      expect(marks.map(({ at, time }) => [at, time.slice(0, 13)])).toEqual([
        [0, '2026-11-07T09'],
        [1000, '2026-11-07T08'],
        [2000, '2026-11-09T09'],
        [3000, '2016-11-09T09'],
      ]);
      expect(verifyRecording(`${data}/recordings/a`)).toMatchObject({
        isSound: true,
        duration_s: 4,
      });
    });
  });
});
