/**
 * One daemon a data folder: a second would write into the same recordings. The lock names its owner;
 * one whose owner is gone, or that was made before the last start of the machine, is taken over.
 */
import { readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import * as v from 'valibot';
import { monotonic_ns } from './clock.ts';
import { isProcessAlive } from './platform.ts';

const NAME = 'station.lock';

const ownerSchema = v.object({ pid: v.number(), monotonic_ns: v.number() });

/** Resolves with the function that gives the folder back, or with the number of the living owner. */
export async function lockFolder(
  folder: string,
): Promise<{ release: () => Promise<void> } | { ownedBy: number }> {
  const path = join(folder, NAME);
  const text = JSON.stringify({ pid: process.pid, monotonic_ns: monotonic_ns() });
  for (;;) {
    try {
      await writeFile(path, text, { flag: 'wx', mode: 0o600 });
      return { release: () => rm(path, { force: true }) };
    } catch (error) {
      if (!(error instanceof Error && 'code' in error && error.code === 'EEXIST')) throw error;
    }
    const owner = await livingOwner(path);
    if (owner !== null) return { ownedBy: owner };
    await rm(path, { force: true });
  }
}

/** A machine's clock that runs from its start proves an earlier start: it shows less than the lock. */
async function livingOwner(path: string): Promise<number | null> {
  const text = await readFile(path, 'utf8').catch(() => '');
  const owner = v.safeParse(ownerSchema, parsed(text));
  if (!owner.success) return null;
  const { pid, monotonic_ns: lockedAt_ns } = owner.output;
  const isOurs = pid === process.pid || lockedAt_ns > monotonic_ns();
  return !isOurs && isProcessAlive(pid) ? pid : null;
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
