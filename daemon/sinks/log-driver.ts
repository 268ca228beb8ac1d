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

export interface LogDriver {
  /** Something was pushed. */
  wake(): void;
  /**
   * Writes and confirms what is left, and closes the files. `refused`: the disk did not take it all and
   * `makeRoom` could not help; `waiting` of the log is not on the disk. `late`: patience is over while
   * a call still hangs, so what is on the disk is not known.
   */
  end(patience_ms: number, makeRoom: () => Promise<boolean>): Promise<'done' | 'refused' | 'late'>;
}

export interface LogDriverOptions {
  /** True when the folder is there; false when there will never be one, and nothing is written. */
  readonly begun: Promise<boolean>;
  readonly onTrouble: (trouble: DiskTrouble) => void;
  /** After trouble: what was waiting is on the disk. */
  readonly onWorking: () => void;
}

export function driveLog<Item>(log: AppendLog<Item>, options: LogDriverOptions): LogDriver {
  const { begun, onTrouble, onWorking } = options;
  let retry: NodeJS.Timeout | null = null;
  let isWriting = false;
  let isInTrouble = false;
  let isEnding = false;

  function failed(error: unknown): void {
    const isFirst = !isInTrouble;
    isInTrouble = true;
    onTrouble(diskTrouble(error));
    if (isEnding) return;
    retry ??= setTimeout(
      () => {
        retry = null;
        wake();
      },
      isFirst ? 0 : RETRY_AFTER_MS,
    );
  }

  function wake(): void {
    if (isWriting || isEnding || retry !== null) return;
    isWriting = true;
    void begun
      .then((isThere) => (isThere ? log.write() : undefined))
      .catch(failed)
      .finally(() => {
        isWriting = false;
      });
  }

  function confirm(): void {
    if (!log.hasUnsynced) return;
    log.sync().then(() => {
      if (!isInTrouble || !log.isDurable) return;
      isInTrouble = false;
      onWorking();
    }, failed);
  }

  const timer = setInterval(confirm, SYNC_EVERY_MS);

  return {
    wake,
    async end(patience_ms, makeRoom) {
      isEnding = true;
      clearInterval(timer);
      if (retry !== null) clearTimeout(retry);
      const patience = new AbortController();
      const late = sleep(patience_ms, 'late' as const, { signal: patience.signal });
      late.catch(() => undefined);
      const outcome = await Promise.race([finish(makeRoom, patience.signal), late]);
      patience.abort();
      return outcome;
    },
  };

  async function finish(
    makeRoom: () => Promise<boolean>,
    signal: AbortSignal,
  ): Promise<'done' | 'refused'> {
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
}
