/**
 * The recorder: every block it is given reaches the disk, or the loss is stated to the sample.
 * It never blocks its caller and never throws for trouble of the disk; `durableSamples` counts only
 * what fdatasync confirmed. It stands outside RxJS, behind its own bounded memory.
 */
import type { StreamBlock } from '../../shared/block/block.ts';
import type { Fault } from '../../shared/faults.ts';
import type { LostRange, StartDocument, StopDocument } from '../../shared/record/documents.ts';
import { blockLayout, bytesPerSecond } from '../../shared/record/layout.ts';
import { RecorderDisk } from './recorder-disk.ts';
import { RecorderIntake } from './recorder-intake.ts';
import { RECORDING_VERSION } from '../../shared/record/version.ts';
import { createRecorderWatch, REFUSE_BELOW_S } from './recorder-watch.ts';

export interface RecorderClock {
  monotonic_ns(): number;
  wallClock(): Date;
}

export interface RecorderOptions {
  /** The recording's own folder, `recordings/<id>` of the data folder; it must not exist yet. */
  readonly folder: string;
  readonly start: Omit<StartDocument, 'document' | 'version'>;
  readonly clock: RecorderClock;
  /** Trouble, at once when it begins and again while it lasts. */
  readonly onFault: (fault: Fault) => void;
}

export interface RecorderStatus {
  /** Samples received. */
  readonly samples: number;
  /** Samples that are on the disk for certain. */
  readonly durableSamples: number;
  /** Samples given up because neither disk nor memory could take them. */
  readonly lostSamples: number;
  /** Bytes of samples, on the disk or on their way. */
  readonly bytes: number;
  /** What is wrong or soon will be, in words; empty when nothing is. */
  readonly trouble: string;
}

export interface Recorder {
  /** Null when the recording has begun on the disk, or why it could not. Blocks may be given before. */
  readonly ready: Promise<Fault | null>;
  write(block: StreamBlock): void;
  /** Something that happened, at a stream index (a fraction between two samples). */
  event(kind: string, at: number, detail?: Readonly<Record<string, unknown>>): void;
  /** Bytes of the device that no decoder could read; kept up to a limit. */
  undecoded(bytes: Uint8Array): void;
  status(): RecorderStatus;
  /**
   * Ends the recording. Waits for a slow disk up to `patience_ms`; what is not on it by then is stated
   * in `lost`. When not even the closing document can be written, the next start's recovery does it.
   */
  close(reason: string, patience_ms?: number): Promise<StopDocument>;
}

/** A tester who pressed stop can wait for a slow disk; a shutdown passes less. */
const CLOSE_PATIENCE_MS = 30_000;
/** Taken for the stream before its format is known: 4 channels of int16 at 1 kHz. */
const USUAL_RATE_BPS = 10_000;

export function createRecorder(options: RecorderOptions): Recorder {
  const { clock, folder, start } = options;
  const lost: LostRange[] = [];
  let samples = 0;
  let lostSamples = 0;
  let closing: Promise<StopDocument> | null = null;

  const { stream } = start;
  const announced_Bps =
    stream === null ? null : bytesPerSecond(blockLayout(stream), stream.rate_Hz);
  const disk = new RecorderDisk({
    folder,
    start: { document: 'start', version: RECORDING_VERSION, ...start },
    clock,
    leastRoom_bytes: (announced_Bps ?? USUAL_RATE_BPS) * REFUSE_BELOW_S,
    onTrouble: (trouble) => watch.failed(trouble),
    onWorking: () => watch.works(),
  });
  const intake = new RecorderIntake(clock, disk);
  const watch = createRecorderWatch({
    folder,
    clock,
    disk,
    nextIndex: () => intake.nextIndex,
    rate_Bps: () => intake.rate_Bps ?? announced_Bps,
    onFault(fault) {
      disk.event('fault', fault.at, { code: fault.code, detail: fault.detail, count: fault.count });
      options.onFault(fault);
    },
  });

  function lose(block: StreamBlock): void {
    lostSamples += block.n;
    const { index, n } = block;
    const last = lost.at(-1);
    if (last?.toIndex === index) last.toIndex += n;
    else lost.push({ fromIndex: index, toIndex: index + n, reason: 'memory was full' });
  }

  return {
    ready: disk.opened.then((trouble) =>
      trouble === null ? null : { code: trouble.code, at: -1, detail: trouble.words, count: 1 },
    ),
    write(block) {
      if (closing !== null || disk.isRefused) return;
      samples += block.n;
      if (disk.isMemoryFull) lose(block);
      else intake.add(block);
    },
    event(kind, at, detail = {}) {
      if (closing === null) disk.event(kind, at, detail);
    },
    undecoded(bytes) {
      if (closing === null) disk.undecoded(bytes);
    },
    status: () => ({
      samples,
      durableSamples: disk.durableSamples,
      lostSamples,
      bytes: disk.bytes,
      trouble: watch.trouble,
    }),
    close(reason, patience_ms = CLOSE_PATIENCE_MS) {
      if (closing === null) {
        intake.end();
        watch.end();
        closing = disk.close(reason, patience_ms, lost);
      }
      return closing;
    },
  };
}
