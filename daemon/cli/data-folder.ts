/** A data folder opened by a command: locked against a running station, with its catalogue and sets. */
import { existsSync, statSync } from 'node:fs';
import { resolve } from 'node:path';
import { wallClock } from '../clock.ts';
import { createAnalysisThread } from '../pipeline/analysis-thread.ts';
import { openArchive, type Archive } from '../station-archive.ts';
import { lockFolder } from '../station-lock.ts';
import { diskTrouble, errorCode } from '../store/disk-trouble.ts';
import { openStore } from '../store/recordings.ts';
import { UsageError, type Io } from './command.ts';

export interface DataFolder extends Archive {
  readonly path: string;
  /** Resolves when every set of the library is up to date. */
  catchUp: () => Promise<void>;
}

export const isFolder = (path: string): boolean => existsSync(path) && statSync(path).isDirectory();

/** Runs `use` while no station can; whatever the disk refuses is told in one line. */
export async function inLockedFolder<T>(path: string, use: () => Promise<T>): Promise<T> {
  if (!isFolder(path)) throw new UsageError(`--data ${path}: there is no such folder`);
  const lock = await lockFolder(path).catch((error: unknown) => {
    throw new UsageError(`--data ${path}: ${diskTrouble(error).words}`);
  });
  if ('ownedBy' in lock) {
    throw new UsageError(
      `--data ${path}: a station (process ${lock.ownedBy}) uses this folder; stop it first`,
    );
  }
  try {
    return await use();
  } catch (error) {
    throw asUsageError(error, path);
  } finally {
    await lock.release();
  }
}

/** With the catalogue, after `before`; recordings that a crash left open are closed first. */
export function inDataFolder<T>(
  path: string,
  io: Io,
  use: (folder: DataFolder) => Promise<T>,
  { before = () => undefined }: { readonly before?: () => void } = {},
): Promise<T> {
  return inLockedFolder(path, async () => {
    before();
    const dataFolder = resolve(path);
    await openStore(dataFolder).recover(wallClock());
    const thread = createAnalysisThread();
    const archive = await openArchive({
      ...{ dataFolder, thread, current: () => null },
      trouble: (what, reason) => io.err(`${what}: ${reason}`),
    });
    const { sets } = archive;
    // The analysis thread keeps no program alive; whoever waits for its answer must.
    const alive = setInterval(() => undefined, 60_000);
    const catchUp = async (): Promise<void> => {
      await sets.catchUp();
      await sets.settled();
    };
    try {
      return await use({ ...archive, path: dataFolder, catchUp });
    } finally {
      clearInterval(alive);
      archive.close();
      await thread.close();
    }
  });
}

function asUsageError(error: unknown, path: string): unknown {
  const isOfDisk = error instanceof Error && 'syscall' in error;
  return isOfDisk
    ? new UsageError(`${path}: ${diskTrouble(error).words} (${errorCode(error)})`)
    : error;
}
