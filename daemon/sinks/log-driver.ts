/**
 * Keeps a log moving: writes at once, has it confirmed every quarter of a second, and tries again
 * every second while the disk refuses. It drops nothing.
 */
import { setTimeout as sleep } from 'node:timers/promises';
import { diskTrouble, type DiskTrouble } from '../store/disk-trouble.ts';
import type { AppendLog } from './append-log.ts';

/** With blocks of 100 ms a power cut then costs 350 ms and the time of one fdatasync. */
const SYNC_EVERY_MS = 250;
/** Often enough that a freed disk is used at once, rare enough that a dead one costs nothing. */
const RETRY_AFTER_MS = 1000;
/** At the end a person waits. */
const RETRY_AT_END_MS = 50;
/** Each try after an error of the disk is a new file; a disk that fails so often is not coming back. */
const TRIES_AT_END = 3;

export type Ended = 'done' | 'refused' | 'late';

export interface LogDriverOptions {
  /** True when the folder is there; false when there will never be one, and nothing is written. */
  readonly begun: Promise<boolean>;
  readonly onTrouble: (trouble: DiskTrouble) => void;
  /** After trouble: what was waiting is on the disk. */
  readonly onWorking: () => void;
}

export class LogDriver<Item> {
  readonly #log: AppendLog<Item>;
  readonly #options: LogDriverOptions;
  readonly #timer: NodeJS.Timeout;
  #retry: NodeJS.Timeout | null = null;
  #isWriting = false;
  #isConfirming = false;
  #isInTrouble = false;
  #isEnding = false;

  constructor(log: AppendLog<Item>, options: LogDriverOptions) {
    this.#log = log;
    this.#options = options;
    this.#timer = setInterval(() => this.#confirm(), SYNC_EVERY_MS);
  }

  /** Something was pushed. */
  wake(): void {
    if (this.#isWriting || this.#isEnding || this.#retry !== null) return;
    this.#isWriting = true;
    void this.#writeAll().catch((error: unknown) => {
      this.#isWriting = false;
      this.#failed(error);
    });
  }

  /** What is pushed at the very end of a write must not wait for the next push. */
  async #writeAll(): Promise<void> {
    if (!(await this.#options.begun)) return;
    while (this.#log.hasPending) await this.#log.write();
    this.#isWriting = false;
  }

  /**
   * Writes and confirms what is left, and closes the files. `refused`: the disk did not take it all and
   * `makeRoom` could not help; `waiting` of the log is not on the disk. `late`: patience is over while
   * a call still hangs, so what is on the disk is not known.
   */
  async end(patience_ms: number, makeRoom: () => Promise<boolean>): Promise<Ended> {
    this.#isEnding = true;
    clearInterval(this.#timer);
    if (this.#retry !== null) clearTimeout(this.#retry);
    const patience = new AbortController();
    const late = sleep(patience_ms, 'late' as const, { signal: patience.signal });
    late.catch(() => undefined);
    const ended = await Promise.race([this.#finish(makeRoom, patience.signal), late]);
    patience.abort();
    return ended;
  }

  async #finish(makeRoom: () => Promise<boolean>, signal: AbortSignal): Promise<Ended> {
    const log = this.#log;
    const { begun, onTrouble } = this.#options;
    if (!(await begun)) return 'refused';
    let triesLeft = TRIES_AT_END;
    while (!signal.aborted) {
      try {
        await log.write();
        await log.sync();
        if (log.isDurable) break;
      } catch (error) {
        const trouble = diskTrouble(error);
        onTrouble(trouble);
        if (trouble.code === 'diskFull' ? !(await makeRoom()) : (triesLeft -= 1) <= 0) break;
        await sleep(RETRY_AT_END_MS);
      }
    }
    await log.sync().catch((error: unknown) => onTrouble(diskTrouble(error)));
    await log.close();
    return log.isDurable ? 'done' : 'refused';
  }

  #confirm(): void {
    if (this.#isConfirming || !this.#log.hasUnsynced) return;
    this.#isConfirming = true;
    void this.#log
      .sync()
      .then(
        () => this.#confirmed(),
        (error: unknown) => this.#failed(error),
      )
      .finally(() => {
        this.#isConfirming = false;
      });
  }

  #confirmed(): void {
    if (!this.#isInTrouble || !this.#log.isDurable) return;
    this.#isInTrouble = false;
    this.#options.onWorking();
  }

  /** The first retry is at once: after a broken write the next file usually takes it. */
  #failed(error: unknown): void {
    const wait_ms = this.#isInTrouble ? RETRY_AFTER_MS : 0;
    this.#isInTrouble = true;
    this.#options.onTrouble(diskTrouble(error));
    if (this.#isEnding) return;
    this.#retry ??= setTimeout(() => {
      this.#retry = null;
      this.wake();
    }, wait_ms);
  }
}
