/**
 * The recording under way: the recorder gets every raw block first, the ledger the calibrated ones.
 * One at a time; a stop is answered when the closing document is on the disk.
 */
import { randomBytes } from 'node:crypto';
import type { Block, StreamBlock } from '../shared/block/block.ts';
import { FAULT_TEXTS, type Fault } from '../shared/faults.ts';
import type { StartDocument, StopDocument } from '../shared/record/documents.ts';
import type { Ledger, RecordingStatus, Setup } from '../shared/wire/events.ts';
import { decidedIn } from './catalogue/edits.ts';
import { monotonic_ns, wallClock } from './clock.ts';
import type { AnalysisThread } from './pipeline/analysis-thread.ts';
import { conditionsOf, gravityIn, statedBy } from './pipeline/conditions.ts';
import { keepLedger, type LedgerKeeper } from './pipeline/ledger.ts';
import { storeResults } from './pipeline/results.ts';
import { createRecorder, type Recorder } from './sinks/recorder.ts';
import { RANDOM_ID_BYTES, recordingFolder, recordingId } from './store/file-names.ts';

/** What the recording's start document says beyond the set-up. */
export type Surroundings = Pick<
  StartDocument,
  | 'software'
  | 'station'
  | 'source'
  | 'stream'
  | 'wiring'
  | 'gravity'
  | 'weighing'
  | 'polarity'
  | 'position'
  | 'recipe'
>;

export interface BeginOptions {
  readonly name: string;
  readonly setup: Setup;
  readonly surroundings: Surroundings;
  /** Columns that the device measures; a recording may begin before it is known. */
  readonly measured: () => readonly string[];
}

export interface RecordingDesk {
  readonly status: RecordingStatus | null;
  /** Resolves with why it cannot begin, or null when it has begun on the disk. */
  begin(options: BeginOptions): Promise<string | null>;
  /** A raw block of the stream; before anyone else sees it. */
  write(block: StreamBlock): void;
  /** The same samples, calibrated. */
  observe(block: Block): void;
  phaseEnded(): void;
  /** The set so far, analysed without being told its mode or speed. */
  blind(): ReturnType<LedgerKeeper['blind']>;
  /** Notes something in the recording; false when there is none. */
  event(kind: string, at: number, detail: Readonly<Record<string, unknown>>): boolean;
  /** Resolves with the closing document; null when nothing is being recorded. */
  end(reason: string, patience_ms?: number): Promise<StopDocument | null>;
  /** Resolves when every result that is still being computed is stored. */
  settled(): Promise<void>;
}

export interface DeskOptions {
  readonly dataFolder: string;
  readonly thread: AnalysisThread;
  readonly tell: (ledger: Ledger) => void;
  readonly fault: (fault: Fault) => void;
  readonly trouble: (what: string, reason: string) => void;
  /** What the library shows of it is another: it began, ended or has results. */
  readonly changed: (id: string) => void;
}

interface Current {
  readonly id: string;
  readonly name: string;
  readonly startedAt: string;
  readonly folder: string;
  readonly recorder: Recorder;
  readonly begin: BeginOptions;
  /** From the first block on: the ledger counts time from it. */
  ledger: LedgerKeeper | null;
}

export function createRecordingDesk(options: DeskOptions): RecordingDesk {
  let current: Current | null = null;
  let settling: Promise<unknown> = Promise.resolve();

  const open = (begin: BeginOptions): Current => {
    const now = wallClock();
    const id = recordingId(now, randomBytes(RANDOM_ID_BYTES));
    const folder = recordingFolder(options.dataFolder, id);
    const startedAt = now.toISOString();
    const conditions = statedBy(begin.setup);
    const start = { id, name: begin.name, startedAt, startedAt_ns: monotonic_ns(), conditions };
    const recorder = createRecorder({
      folder,
      start: { ...start, ...begin.surroundings },
      clock: { monotonic_ns, wallClock },
      onFault: options.fault,
    });
    return { id, name: begin.name, startedAt, folder, recorder, begin, ledger: null };
  };
  const openLedger = ({ id, folder, begin }: Current, firstIndex: number): LedgerKeeper =>
    keepLedger({
      recording: id,
      conditions: () => ({ ...toldBy(begin), ...decidedIn(folder) }),
      thread: options.thread,
      firstIndex,
      measured: begin.measured,
      tell: options.tell,
      trouble: (reason) => options.trouble('analysis failed', reason),
    });
  const settle = async ({ ledger, folder, id }: Current): Promise<void> => {
    options.changed(id);
    const settled = await ledger?.settle(folder);
    if (settled) await storeResults(folder, settled);
    options.changed(id);
  };

  return {
    get status() {
      if (!current) return null;
      const { id, name, startedAt, recorder } = current;
      const { samples, durableSamples, trouble } = recorder.status();
      return { id, name, startedAt, samples, durableSamples, trouble };
    },
    async begin(begin) {
      if (current) return `recording "${current.name}" is under way; stop it first`;
      const opened = open(begin);
      current = opened;
      options.tell({ recording: opened.id, finality: 'provisional', phases: [] });
      const fault = await opened.recorder.ready;
      options.changed(opened.id);
      if (!fault) return null;
      current = null;
      return fault.detail === '' ? FAULT_TEXTS[fault.code] : fault.detail;
    },
    write(block) {
      if (!current) return;
      current.recorder.write(block);
      current.ledger ??= openLedger(current, block.index);
    },
    observe: (block) => current?.ledger?.add(block),
    phaseEnded: () => current?.ledger?.phaseEnded(),
    blind: () => current?.ledger?.blind() ?? Promise.resolve(null),
    event(kind, at, detail) {
      current?.recorder.event(kind, at, detail);
      return current !== null;
    },
    async end(reason, patience_ms) {
      if (!current) return null;
      const ending = current;
      const stop = await ending.recorder.close(reason, patience_ms);
      if (current === ending) {
        current = null;
        settling = settle(ending).catch((error: unknown) =>
          options.trouble('results not stored', String(error)),
        );
      }
      return stop;
    },
    settled: async () => void (await settling),
  };
}

function toldBy({ setup, surroundings }: BeginOptions) {
  return { ...conditionsOf(statedBy(setup)), ...gravityIn(surroundings) };
}
