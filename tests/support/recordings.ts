/** Small recordings with numbers that can be told from their index, written by the real recorder. */
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { SampleType, StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import type { Fault } from '../../shared/faults.ts';
import type { StopDocument } from '../../shared/record/documents.ts';
import { readSamples } from '../../daemon/store/read-blocks.ts';
import { openRecording } from '../../daemon/store/recording.ts';
import {
  createRecorder,
  type Recorder,
  type RecorderOptions,
} from '../../daemon/sinks/recorder.ts';

export const NORTH = {
  name: 'SH-01 knee, right',
  startedAt: '2026-11-07T09:15:00.000Z',
  startedAt_ns: 5e9,
  software: 'momentarm 0.1.0',
  station: 'North',
  source: { url: 'demo:', kind: 'simulated', format: 'packets' },
  stream: null,
  conditions: { subject: 'SH-01', pattern: 'knee-extension-flexion', side: 'right' },
  wiring: null,
  gravity: null,
  recipe: null,
} as const satisfies Omit<RecorderOptions['start'], 'id'>;

export function formatOf(types: readonly SampleType[], rate_Hz = 1000): StreamFormat {
  const channels = types.map((type, c) => ({ name: `ai${c}`, unit: 'V', type }));
  return { rate_Hz, channels, integrity: 'crc32', notes: {} };
}

/** The number that channel c has at an index: every one fits its type, neighbours differ. */
export function valueAt(type: SampleType, c: number, index: number): number {
  const whole = ((index * 7919 + c * 104729) % 60_000) - 30_000;
  if (type === 'int16') return whole;
  if (type === 'int24') return whole * 250 - (index % 2);
  return type === 'float32' ? Math.fround(whole / 7) : whole / 7;
}

export function blockAt(format: StreamFormat, index: number, n: number, run = 0): StreamBlock {
  const columns = format.channels.map(({ type }, c) =>
    Float64Array.from({ length: n }, (_, i) => valueAt(type, c, index + i)),
  );
  return { format, run, first: index, n, columns, index, arrival_ns: (index + n) * 1e6 };
}

/** Blocks of 20 samples over [first, end), without those that `isMissing`. */
export function blocksOver(
  format: StreamFormat,
  first: number,
  end: number,
  isMissing: (index: number) => boolean = () => false,
): StreamBlock[] {
  const blocks: StreamBlock[] = [];
  for (let index = first; index < end; index += 20) {
    if (!isMissing(index)) blocks.push(blockAt(format, index, Math.min(20, end - index)));
  }
  return blocks;
}

export function recorderIn(
  dataFolder: string,
  id: string,
  options: Partial<Pick<RecorderOptions, 'clock' | 'onFault' | 'start'>> = {},
): Recorder {
  return createRecorder({
    folder: join(dataFolder, 'recordings', id),
    start: { id, ...NORTH },
    clock: TEST_CLOCK,
    onFault: (fault: Fault) => {
      throw new Error(`fault: ${fault.code} ${fault.detail}`);
    },
    ...options,
  });
}

/** A real monotonic clock; the wall clock stands. */
export const TEST_CLOCK = {
  monotonic_ns: () => performance.now() * 1e6,
  wallClock: () => new Date('2026-11-07T09:15:00.000Z'),
};

/** Records the blocks as fast as it can and closes; gives the folder. */
export async function recordBlocks(
  dataFolder: string,
  id: string,
  blocks: readonly StreamBlock[],
): Promise<{ readonly folder: string; readonly stop: StopDocument }> {
  const recorder = recorderIn(dataFolder, id);
  const trouble = await recorder.ready;
  if (trouble !== null) throw new Error(trouble.detail);
  for (const block of blocks) recorder.write(block);
  const stop = await recorder.close('test');
  return { folder: join(dataFolder, 'recordings', id), stop };
}

/** What can be read of a recording, from its folder; nothing when it has none. */
export function readBack(dataFolder: string, id: string): Iterable<StreamBlock> {
  const folder = join(dataFolder, 'recordings', id);
  return existsSync(folder) ? readSamples(openRecording(folder).files) : [];
}

/** A folder that is gone after `use`. */
export async function withFolder<T>(use: (folder: string) => Promise<T> | T): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), 'momentarm-'));
  try {
    return await use(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** How many of these samples are not what `valueAt` says. */
export function wrongSamples(blocks: Iterable<StreamBlock>): { nRead: number; nWrong: number } {
  let nRead = 0;
  let nWrong = 0;
  for (const { format, columns, index, n } of blocks) {
    nRead += n;
    format.channels.forEach(({ type }, c) => {
      for (let i = 0; i < n; i += 1) {
        if (!Object.is(columns[c]?.[i], valueAt(type, c, index + i))) nWrong += 1;
      }
    });
  }
  return { nRead, nWrong };
}
