/**
 * What differs between operating systems, each as one named function: nothing else in the daemon asks
 * which system it runs on. Windows and macOS paths are written from their documentation, untested here.
 */
import { chmod, mkdir, open, rename, rm } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';

/** How often a daemon started by the front door looks whether its parent still lives. */
const PARENT_POLL_ms = 300;

/** Writes a whole file so that after a power cut there is the old text or the new, never a mixture. */
export async function replaceFile(path: string, text: string | Uint8Array): Promise<void> {
  const folder = dirname(path);
  const temporary = join(folder, `.${basename(path)}.${process.pid}.tmp`);
  try {
    const file = await open(temporary, 'w', 0o600);
    try {
      await file.writeFile(text);
      await file.sync();
    } finally {
      await file.close();
    }
    await rename(temporary, path);
  } catch (error) {
    await rm(temporary, { force: true });
    throw error;
  }
  await syncFolder(folder);
}

/** Makes new names in a folder durable. Where folders cannot be synced (Windows) it does nothing. */
export async function syncFolder(path: string): Promise<void> {
  if (process.platform === 'win32') return;
  const folder = await open(path, 'r');
  try {
    await folder.sync();
  } finally {
    await folder.close();
  }
}

/** Makes a folder that only this account may enter; modes mean nothing on Windows. */
export async function makePrivateFolder(path: string): Promise<void> {
  await mkdir(path, { recursive: true, mode: 0o700 });
  if (process.platform !== 'win32') await chmod(path, 0o700);
}

/** True while a process with this number exists, also when it belongs to another account. */
export function isProcessAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error instanceof Error && 'code' in error && error.code === 'EPERM';
  }
}

/**
 * Calls `stop` once when the process is asked to end: Ctrl-C, a termination signal, a closed console
 * window, or the death of the front door that started it (npm does not forward every signal).
 */
export function onStopRequested(stop: (reason: string) => void): void {
  let isAsked = false;
  const once = (reason: string): void => {
    if (isAsked) return;
    isAsked = true;
    stop(reason);
  };
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP', 'SIGBREAK'] as const) {
    if (signal === 'SIGBREAK' && process.platform !== 'win32') continue;
    process.on(signal, () => once(signal));
  }
  if (process.env['MOMENTARM_FRONT_DOOR'] === undefined) return;
  const parent = process.ppid;
  const poll = setInterval(() => {
    if (process.ppid !== parent || !isProcessAlive(parent)) once('the front door ended');
  }, PARENT_POLL_ms);
  poll.unref();
}
