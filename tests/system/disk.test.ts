/**
 * A disk that is full, read-only, slow or broken under a recording (REC-4 to REC-7): told at once, nothing
 * acknowledged lost, what was lost stated to the sample. Needs root for the disks of its own.
 */
import { execFileSync } from 'node:child_process';
import { appendFileSync, existsSync, rmSync, statfsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { Fault } from '../../shared/faults.ts';
import type { Recorder } from '../../daemon/sinks/recorder.ts';
import { openStore } from '../../daemon/store/recordings.ts';
import { verifyRecording } from '../../daemon/store/verify.ts';
import { isRoot, notRun, said, startRecording, tracing } from '../support/recording-child.ts';
import {
  blockAt,
  blocksOver,
  formatOf,
  NORTH,
  recorderIn,
  readBack,
  withFolder,
  wrongSamples,
} from '../support/recordings.ts';

/** 10 bytes a sample: 11 kB/s on the disk. */
const FORMAT = formatOf(['int16', 'int16', 'int16', 'float32']);
const PATIENCE = { timeout: 10_000, interval: 20 };

/** A small disk that is gone afterwards. */
async function withDisk(options: string, use: (data: string) => Promise<void>): Promise<void> {
  if (!isRoot()) {
    notRun('a disk of its own needs root');
    return;
  }
  await withFolder(async (data) => {
    execFileSync('mount', ['-t', 'tmpfs', '-o', options, 'tmpfs', data]);
    try {
      await use(data);
    } finally {
      execFileSync('umount', [data]);
    }
  });
}

function recording(data: string): { recorder: Recorder; faults: Fault[] } {
  const faults: Fault[] = [];
  const recorder = recorderIn(data, 'a', {
    start: { id: 'a', ...NORTH, stream: FORMAT },
    onFault: (fault) => faults.push(fault),
  });
  return { recorder, faults };
}

function fill(data: string): void {
  const page = Buffer.alloc(4096);
  try {
    for (;;) appendFileSync(join(data, 'filler'), page);
  } catch {
    return;
  }
}

const codes = (faults: readonly Fault[]) => faults.map(({ code }) => code);

describe('a full disk', () => {
  test('with less than ten minutes of room nothing begins, and nothing is left behind', async () => {
    await withDisk('size=4m', async (data) => {
      const { recorder } = recording(data);
      expect(await recorder.ready).toMatchObject({ code: 'diskFull' });
      expect(existsSync(join(data, 'recordings', 'a'))).toBe(false);
      expect((await recorder.close('test')).samples).toBe(0);
    });
  });

  test('with less than two hours of room it warns in words', async () => {
    await withDisk('size=20m', async (data) => {
      const { recorder, faults } = recording(data);
      recorder.write(blockAt(FORMAT, 0, 20));
      await expect.poll(() => codes(faults), PATIENCE).toContain('diskNearlyFull');
      expect(recorder.status().trouble).toMatch(/room for \d+ min more/);
      expect((await recorder.close('test')).samples).toBe(20);
    });
  });

  test('a recording that is ended is whole, by the room kept for it', async () => {
    await withDisk('size=12m', async (data) => {
      const { recorder, faults } = recording(data);
      expect(await recorder.ready).toBeNull();
      fill(data);
      for (const block of blocksOver(FORMAT, 0, 60_000)) recorder.write(block);
      await expect.poll(() => codes(faults), PATIENCE).toContain('diskFull');
      expect(recorder.status().trouble).toContain('the disk is full');
      const stop = await recorder.close('test');
      expect(stop).toMatchObject({ samples: 60_000, lost: [] });
      expect(verifyRecording(join(data, 'recordings', 'a'))).toMatchObject({ isSound: true });
    });
  });

  test('a recording goes on when room is made', async () => {
    await withDisk('size=12m', async (data) => {
      const { recorder, faults } = recording(data);
      expect(await recorder.ready).toBeNull();
      fill(data);
      for (const block of blocksOver(FORMAT, 0, 60_000)) recorder.write(block);
      await expect.poll(() => codes(faults), PATIENCE).toContain('diskFull');
      expect(recorder.status().durableSamples).toBeLessThan(60_000);
      rmSync(join(data, 'filler'));
      await expect.poll(() => recorder.status().durableSamples, PATIENCE).toBeGreaterThan(59_900);
      await expect.poll(() => recorder.status().trouble, PATIENCE).not.toContain('full;');
      expect(await recorder.close('test')).toMatchObject({ samples: 60_000, lost: [] });
    });
  });

  test('what the room kept cannot hold is stated to the sample', async () => {
    await withDisk('size=12m', async (data) => {
      const { recorder } = recording(data);
      expect(await recorder.ready).toBeNull();
      fill(data);
      for (const block of blocksOver(FORMAT, 0, 300_000)) recorder.write(block);
      const stop = await recorder.close('test');
      const [lost] = stop.lost;
      expect(stop.lost).toHaveLength(1);
      expect(lost).toMatchObject({ toIndex: 300_000, reason: 'the disk refused' });
      expect(lost?.fromIndex).toBe(stop.samples);
      expect(stop.samples).toBeGreaterThan(60_000);
      expect(statfsSync(data).bavail).toBeLessThan(100);
      const recovered = await openStore(data).recover(new Date(0));
      const { nRead, nWrong } = wrongSamples(readBack(data, 'a'));
      expect({ nRead, nWrong }).toEqual({ nRead: stop.samples, nWrong: 0 });
      expect(recovered.length).toBeLessThanOrEqual(1);
    });
  });

  test('without a name left for a file the reason is told', async () => {
    await withDisk('size=20m,nr_inodes=4', async (data) => {
      const { recorder } = recording(data);
      expect(await recorder.ready).toMatchObject({ code: 'diskFull', detail: 'the disk is full' });
      await recorder.close('test');
    });
  });
});

describe('a read-only disk', () => {
  test('nothing begins, and the reason is told', async () => {
    await withDisk('size=20m', async (data) => {
      execFileSync('mount', ['-o', 'remount,ro', data]);
      const { recorder } = recording(data);
      expect(await recorder.ready).toMatchObject({
        code: 'diskWriteFailed',
        detail: 'the disk is read-only',
      });
      await recorder.close('test');
    });
  });
});

describe.concurrent('a broken or slow disk', () => {
  const ERRORS = [
    'pwrite64:error=EIO:when=4',
    'fdatasync:error=EIO:when=3',
    'pwrite64:error=EROFS:when=5..7',
  ];

  test.each(ERRORS)('%s: a new file, nothing lost', async (injection) => {
    const tracer = tracing(injection);
    if (tracer === null) return;
    await withFolder(async (data) => {
      const { faults, stop } = said(await startRecording(data, 'a', 2.5, tracer).lines);
      expect(faults.filter((line) => line.includes('diskWriteFailed'))).not.toEqual([]);
      expect(stop).toMatchObject({ status: 'complete', lost: [] });
      const { nRead, nWrong } = wrongSamples(readBack(data, 'a'));
      expect({ nRead, nWrong }).toEqual({ nRead: stop?.samples, nWrong: 0 });
      expect(stop?.samples).toBe(stop?.endIndex);
      expect(verifyRecording(join(data, 'recordings', 'a'))).toMatchObject({ findings: [] });
    });
  });

  test('a sync of three seconds loses nothing and stops nobody', async () => {
    const tracer = tracing('fdatasync:delay_enter=3000000:when=4');
    if (tracer === null) return;
    await withFolder(async (data) => {
      const { faults, stop, pause_ms } = said(await startRecording(data, 'a', 5, tracer).lines);
      expect(faults.filter((line) => line.includes('diskSlow'))).not.toEqual([]);
      expect(stop).toMatchObject({ status: 'complete', lost: [], missing: 0 });
      expect(verifyRecording(join(data, 'recordings', 'a'))).toMatchObject({ findings: [] });
      // Far below the three seconds that the sync took, however loaded this machine is.
      expect(pause_ms).toBeLessThan(1000);
    });
  });
});
