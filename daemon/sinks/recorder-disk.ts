/**
 * A recording's files while it is written: three logs (samples, events, undecoded bytes) and at the
 * end the closing manifest. What it counts as durable was confirmed by fdatasync.
 */
import { rm } from 'node:fs/promises';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { presentRuns } from '../../shared/record/block-codec.ts';
import type { LostRange, StartDocument, StopDocument } from '../../shared/record/documents.ts';
import { headerJson } from '../../shared/record/file-header.ts';
import { joinedRanges } from '../../shared/record/lost-ranges.ts';
import { createRunCounter } from '../../shared/record/run-counter.ts';
import { sealDocument, sealLine } from '../../shared/record/sealed-json.ts';
import { RECORDING_VERSION } from '../../shared/record/version.ts';
import { replaceFile } from '../platform.ts';
import { diskTrouble, type DiskTrouble } from '../store/disk-trouble.ts';
import {
  eventsFile,
  README_FILE,
  RESERVE_FILE,
  START_FILE,
  STOP_FILE,
  undecodedFile,
} from '../store/file-names.ts';
import { fileSummary } from '../store/file-summary.ts';
import { createByteLog, type ByteLog } from './byte-log.ts';
import { LogDriver } from './log-driver.ts';
import { beginRecording } from './recorder-begin.ts';
import type { RecorderClock } from './recorder.ts';
import { createStreamLog, type StoredBlock, type StreamLog } from './stream-log.ts';

/** 30 s of the largest stream (16 channels of float64 at 10 kHz); two hours of 4 x int16 at 1 kHz. */
const MEMORY_BYTES = 64 << 20;
/** A day of marks once a second while a disk takes nothing; some 20 MB. */
const MOST_EVENTS_WAITING = 100_000;
/** Undecodable bytes tell what went wrong on the wire; a megabyte of them tells it well enough. */
const UNDECODED_BYTES = 1 << 20;

export interface RecorderDiskOptions {
  readonly folder: string;
  readonly start: StartDocument;
  readonly clock: RecorderClock;
  /** Without this much room the recording does not begin. */
  readonly leastRoom_bytes: number;
  readonly onTrouble: (trouble: DiskTrouble) => void;
  readonly onWorking: () => void;
}

export class RecorderDisk {
  /** Null when the recording has begun on the disk; else why it never will. */
  readonly opened: Promise<DiskTrouble | null>;
  readonly #options: RecorderDiskOptions;
  readonly #saved = createRunCounter();
  readonly #samples: StreamLog;
  readonly #events: ByteLog;
  readonly #undecoded: ByteLog;
  readonly #samplesDriver: LogDriver<StoredBlock>;
  readonly #eventsDriver: LogDriver<Uint8Array>;
  readonly #undecodedDriver: LogDriver<Uint8Array>;
  #isRefused = false;
  #isReserveThere = true;
  #nEvents = 0;
  #nEventsUnnumbered = 0;
  #bytes = 0;
  #waitingBytes = 0;
  #undecodedBytes = 0;

  constructor(options: RecorderDiskOptions) {
    const { folder, start, onTrouble, onWorking } = options;
    this.#options = options;
    this.#samples = createStreamLog({
      folder,
      recording: start.id,
      // The head stands in the events too: each can stand in for the other.
      onFile: (header, first) => {
        this.event('segment', first.packed.head.index, { head: headerJson(header) });
      },
      onDurable: (block) => this.#confirmed(block),
    });
    this.#events = createByteLog(folder, eventsFile);
    this.#undecoded = createByteLog(folder, undecodedFile);
    this.opened = beginRecording(folder, start, options.leastRoom_bytes);
    const begun = this.opened.then((trouble) => {
      this.#isRefused = trouble !== null;
      return trouble === null;
    });
    this.#samplesDriver = new LogDriver(this.#samples.log, { begun, onTrouble, onWorking });
    this.#eventsDriver = new LogDriver(this.#events.log, { begun, onTrouble, onWorking });
    this.#undecodedDriver = new LogDriver(this.#undecoded.log, { begun, onTrouble, onWorking });
    this.event('start', 0, { document: start });
  }

  block(block: StoredBlock): void {
    this.#bytes += block.packed.bytes.length;
    this.#waitingBytes += block.packed.bytes.length;
    this.#samples.log.push(block);
    this.#samplesDriver.wake();
  }

  event(kind: string, at: number, detail: Readonly<Record<string, unknown>>): void {
    if (this.#events.log.nWaiting >= MOST_EVENTS_WAITING) {
      this.#nEventsUnnumbered += 1;
      return;
    }
    const time = this.#options.clock.wallClock().toISOString();
    this.#events.log.push(sealLine({ sequence: this.#nEvents, kind, at, time, detail }, crc32));
    this.#nEvents += 1;
    this.#eventsDriver.wake();
  }

  undecoded(bytes: Uint8Array): void {
    const kept = bytes.slice(0, Math.max(UNDECODED_BYTES - this.#undecodedBytes, 0));
    this.#undecodedBytes += bytes.length;
    if (kept.length === 0) return;
    this.#undecoded.log.push(kept);
    this.#undecodedDriver.wake();
  }

  /** `lost` is what never got here. After it nothing more may be given. */
  async close(
    reason: string,
    patience_ms: number,
    lost: readonly LostRange[],
  ): Promise<StopDocument> {
    const { folder, clock, onTrouble } = this.#options;
    const deadline_ns = clock.monotonic_ns() + patience_ms * 1e6;
    const left_ms = () => Math.max((deadline_ns - clock.monotonic_ns()) / 1e6, 0);
    const makeRoom = () => this.#makeRoom();
    const ended = await this.#samplesDriver.end(left_ms(), makeRoom);
    const why = ended === 'late' ? 'the disk was too slow to confirm them' : 'the disk refused';
    const unsaved = this.#samples.log.waiting.map(({ packed }) => ({
      fromIndex: packed.head.index,
      toIndex: packed.end,
      reason: why,
    }));
    this.event('stop', this.#saved.endIndex, { reason });
    await this.#eventsDriver.end(left_ms(), makeRoom);
    await this.#undecodedDriver.end(left_ms(), makeRoom);
    const stop = this.#stopDocument(reason, joinedRanges([...lost, ...unsaved]));
    // A call that still hangs may yet write: then only recovery knows how the files end.
    if (this.#isRefused || ended === 'late') return stop;
    try {
      await this.#makeRoom();
      await replaceFile(join(folder, STOP_FILE), sealDocument(stop, crc32));
    } catch (error) {
      onTrouble(diskTrouble(error));
    }
    return stop;
  }

  get isRefused(): boolean {
    return this.#isRefused;
  }

  get isMemoryFull(): boolean {
    return this.#waitingBytes > MEMORY_BYTES;
  }

  get durableSamples(): number {
    return this.#saved.samples;
  }

  /** Bytes of samples, on the disk or on their way. */
  get bytes(): number {
    return this.#bytes;
  }

  /** Since when the oldest block that is not confirmed waits; null when none does. */
  get waitingSince_ns(): number | null {
    return this.#samples.log.oldest?.packed_ns ?? null;
  }

  #confirmed({ packed, kind }: StoredBlock): void {
    const { head, bytes } = packed;
    this.#waitingBytes -= bytes.length;
    presentRuns(bytes, head, kind.layout, (first, end) => {
      this.#saved.run(head.index + first, head.index + end);
    });
  }

  /** True once: when the room kept for the end has just been given up. */
  async #makeRoom(): Promise<boolean> {
    if (!this.#isReserveThere) return false;
    this.#isReserveThere = false;
    await rm(join(this.#options.folder, RESERVE_FILE), { force: true });
    return true;
  }

  #stopDocument(reason: string, lost: LostRange[]): StopDocument {
    const { folder, start, clock } = this.#options;
    const { samples, missing, gaps, firstIndex, endIndex } = this.#saved;
    const eventsLost = this.#nEvents + this.#nEventsUnnumbered - this.#events.nDurable;
    return {
      document: 'stop',
      version: RECORDING_VERSION,
      id: start.id,
      status: 'complete',
      reason,
      stoppedAt: clock.wallClock().toISOString(),
      samples,
      missing,
      gaps,
      firstIndex,
      endIndex,
      events: this.#events.nDurable,
      ...(eventsLost > 0 && { eventsLost }),
      undecodedBytes: this.#undecodedBytes,
      lost,
      segments: this.#samples.summaries(),
      files: [
        fileSummary(folder, START_FILE),
        fileSummary(folder, README_FILE),
        ...this.#events.summaries(),
        ...this.#undecoded.summaries(),
      ],
      torn: [],
    };
  }
}
