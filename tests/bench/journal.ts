/**
 * P9: the recording. Bytes a frame against raw, processor while it is written, how long a received sample
 * is at the disk's mercy, and after eight hours: recovery, verify, first and second look. Each figure
 * stands beside what the bare system takes for the same bytes here and now.
 */
import { createHash } from 'node:crypto';
import {
  closeSync,
  fdatasyncSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readSync,
  rmSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { crc32 } from 'node:zlib';
import type { SampleType, StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import { stampPlace } from '../../shared/record/block-codec.ts';
import { encodeHeader } from '../../shared/record/file-header.ts';
import { blockLayout } from '../../shared/record/layout.ts';
import { createPacker, type PackedBlock } from '../../shared/record/packer.ts';
import { monotonic_ns, wallClock } from '../../daemon/clock.ts';
import { createRecorder, type Recorder } from '../../daemon/sinks/recorder.ts';
import { readOverview } from '../../daemon/store/overview.ts';
import { openRecording } from '../../daemon/store/recording.ts';
import { recoverRecording } from '../../daemon/store/recover.ts';
import { verifyRecording } from '../../daemon/store/verify.ts';

const HOURS = 8;
const ROUNDS = 5;
const LIVE_S = 20;
const BLOCK_S = 0.02;
const WORK = mkdtempSync(join(tmpdir(), 'momentarm-bench-'));

const say = (figure: object) => process.stdout.write(`${JSON.stringify(figure)}\n`);
const round = (value: number) => Number(value.toPrecision(4));

function formatOf(nChannels: number, rate_Hz: number): StreamFormat {
  const type: SampleType = 'int16';
  const channels = Array.from({ length: nChannels }, (_, c) => ({
    name: `ai${c}`,
    unit: 'V',
    type,
  }));
  return { rate_Hz, channels, integrity: 'crc32', notes: {} };
}

/** The same numbers again and again: making them must not be what is measured. */
function blockMaker(format: StreamFormat): (index: number) => StreamBlock {
  const n = Math.round(format.rate_Hz * BLOCK_S);
  const columns = format.channels.map((_, c) =>
    Float64Array.from({ length: n }, (__, i) => Math.round(20_000 * Math.sin(i / 9 + c))),
  );
  return (index) => {
    return { format, run: 0, first: index, n, columns, index, arrival_ns: monotonic_ns() };
  };
}

function startIn(id: string, format: StreamFormat): Recorder {
  return createRecorder({
    folder: join(WORK, 'recordings', id),
    start: {
      id,
      name: 'bench',
      startedAt: wallClock().toISOString(),
      startedAt_ns: monotonic_ns(),
      software: 'momentarm',
      station: 'North',
      source: { url: 'demo:', kind: 'simulated', format: 'packets' },
      stream: format,
      conditions: {},
      wiring: null,
      gravity: null,
      recipe: null,
    },
    clock: { monotonic_ns, wallClock },
    onFault: (fault) => process.stderr.write(`${fault.code}: ${fault.detail}\n`),
  });
}

function percentile(values: readonly number[], share: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(Math.floor(sorted.length * share), sorted.length - 1)] ?? Number.NaN;
}

/** Processor seconds of this process while `work` runs. */
async function cpu_s(work: () => Promise<void>): Promise<number> {
  const before = process.cpuUsage();
  await work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1e6;
}

/** Calls `each` for every block that is due, for LIVE_S seconds of real time. */
async function inRealTime(format: StreamFormat, each: (block: StreamBlock) => void): Promise<void> {
  const make = blockMaker(format);
  const begun_ns = monotonic_ns();
  const step = make(0).n;
  for (let index = 0; index < LIVE_S * format.rate_Hz;) {
    const due = ((monotonic_ns() - begun_ns) / 1e9) * format.rate_Hz;
    for (; index + step <= due; index += step) each(make(index));
    await sleep(5);
  }
}

async function whileLive(nChannels: number, rate_Hz: number): Promise<void> {
  const format = formatOf(nChannels, rate_Hz);
  const idle_s = await cpu_s(() => inRealTime(format, () => undefined));
  const recorder = startIn(`live-${nChannels}-${rate_Hz}`, format);
  await recorder.ready;
  const exposed_ms: number[] = [];
  const recording_s = await cpu_s(() =>
    inRealTime(format, (block) => {
      recorder.write(block);
      const { samples, durableSamples } = recorder.status();
      exposed_ms.push(((samples - durableSamples) / rate_Hz) * 1000);
    }),
  );
  const stop = await recorder.close('bench');
  const raw = stop.samples * nChannels * 2;
  const head = 4096;
  const stored = stop.segments.reduce((sum, { bytes }) => sum + bytes - head, 0);
  const what = `${nChannels} x int16 at ${rate_Hz} Hz`;
  say({
    figure: 'journal.bytesAFrame',
    what: `${what}, beside the ${head} bytes of a file's head`,
    bytes: round(stored / stop.samples),
    raw: raw / stop.samples,
    ratio: round(stored / raw),
    goal: 1.1,
  });
  say({
    figure: 'journal.processor',
    what: `${what}, ${LIVE_S} s in real time`,
    recording_pct: round((recording_s / LIVE_S) * 100),
    withoutRecorder_pct: round((idle_s / LIVE_S) * 100),
    added_pct: round(((recording_s - idle_s) / LIVE_S) * 100),
  });
  say({
    figure: 'journal.exposure',
    what: `${what}: received and not yet confirmed by fdatasync`,
    p50_ms: round(percentile(exposed_ms, 0.5)),
    p99_ms: round(percentile(exposed_ms, 0.99)),
    most_ms: round(Math.max(...exposed_ms)),
    goal_ms: 600,
  });
}

/** What the disk takes for a block and its confirmation, without any of us. */
function bareSync(): void {
  const block = new Uint8Array(blockLayout(formatOf(4, 1000)).stride);
  const fd = openSync(join(WORK, 'bare'), 'w');
  const took_ms = Array.from({ length: 200 }, () => {
    writeSync(fd, block);
    const begun = performance.now();
    fdatasyncSync(fd);
    return performance.now() - begun;
  });
  closeSync(fd);
  const [p50_ms, p99_ms] = [percentile(took_ms, 0.5), percentile(took_ms, 0.99)];
  say({ figure: 'journal.bareFdatasync', p50_ms: round(p50_ms), p99_ms: round(p99_ms) });
}

/** A folder as a crash leaves it after eight hours of 4 x int16 at 1 kHz. */
function eightHours(): { folder: string; pack_s: number } {
  const format = formatOf(4, 1000);
  const layout = blockLayout(format);
  const folder = join(WORK, 'recordings', 'long');
  mkdirSync(folder, { recursive: true });
  const header = { recording: 'long', segment: 0, nonce: 7, format, layout };
  const fd = openSync(join(folder, 'stream-0.blk'), 'w');
  writeSync(fd, encodeHeader(header, crc32));
  let parts: PackedBlock[] = [];
  let sequence = 0;
  const write = (): void => {
    writeSync(fd, Buffer.concat(parts.map(({ bytes }) => bytes)));
    parts = [];
  };
  const packer = createPacker(layout, crc32, (packed) => {
    stampPlace(packed.bytes, { nonce: 7, sequence }, crc32);
    sequence += 1;
    parts.push(packed);
    if (parts.length === 1000) write();
  });
  const make = blockMaker(format);
  const begun = performance.now();
  for (let index = 0; index < HOURS * 3_600_000; index += 20) packer.add(make(index));
  packer.flush();
  write();
  const pack_s = (performance.now() - begun) / 1000;
  closeSync(fd);
  return { folder, pack_s };
}

/** Reading the same bytes once, with a digest: no reader can do less. */
function bareRead(path: string): number {
  const begun = performance.now();
  const fd = openSync(path, 'r');
  const chunk = new Uint8Array(1 << 20);
  const hash = createHash('sha256');
  for (let n = readSync(fd, chunk); n > 0; n = readSync(fd, chunk))
    hash.update(chunk.subarray(0, n));
  hash.digest();
  closeSync(fd);
  return (performance.now() - begun) / 1000;
}

async function seconds(work: () => unknown): Promise<number> {
  const begun = performance.now();
  await work();
  return (performance.now() - begun) / 1000;
}

async function afterEightHours(): Promise<void> {
  const { folder, pack_s } = eightHours();
  const path = join(folder, 'stream-0.blk');
  bareRead(path);
  const bare_s = bareRead(path);
  const against = (took_s: number) => {
    return { took_s: round(took_s), readAndDigest_s: round(bare_s), ratio: round(took_s / bare_s) };
  };
  const what = `${HOURS} h of 4 x int16 at 1 kHz`;
  const frames = HOURS * 3_600_000;
  say({
    figure: 'journal.pack',
    what,
    nsAFrame: round((pack_s * 1e9) / frames),
    write: 'included',
  });
  const recover_s = await seconds(() => recoverRecording(folder, wallClock()));
  say({ figure: 'journal.recover', what, ...against(recover_s), goal_s: 2 });
  say({ figure: 'journal.verify', what, ...against(await seconds(() => verifyRecording(folder))) });
  const query = { column: 'ai0', fromIndex: 0, toIndex: frames, buckets: 1500 };
  const look = () => readOverview(openRecording(folder), query);
  const firstLooks_s: number[] = [];
  for (let k = 0; k < ROUNDS; k += 1) {
    rmSync(join(folder, 'overview-0.bin'), { force: true });
    firstLooks_s.push(await seconds(look));
  }
  const firstLook_s = percentile(firstLooks_s, 0.5);
  say({ figure: 'journal.firstLook', what, ...against(firstLook_s), goal_s: 1 });
  say({ figure: 'journal.nextLook', what, ...against(await seconds(look)) });
  const minute = { ...query, fromIndex: frames / 2, toIndex: frames / 2 + 60_000 };
  const zoom_s = await seconds(() => readOverview(openRecording(folder), minute));
  say({ figure: 'journal.zoomToAMinute', what, took_s: round(zoom_s) });
}

try {
  bareSync();
  await whileLive(4, 1000);
  await whileLive(8, 5000);
  await afterEightHours();
} finally {
  rmSync(WORK, { recursive: true, force: true });
}
