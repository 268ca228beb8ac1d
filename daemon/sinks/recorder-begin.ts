/** The first moment of a recording: its folder with the start document, on the disk for certain. */
import { mkdir, open, rm } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { crc32 } from 'node:zlib';
import type { StartDocument } from '../../shared/record/documents.ts';
import { README_TEXT } from '../../shared/record/readme-text.ts';
import { sealDocument } from '../../shared/record/sealed-json.ts';
import { syncFolder } from '../platform.ts';
import { diskTrouble, errorCode, freeBytes, type DiskTrouble } from '../store/disk-trouble.ts';
import { README_FILE, RESERVE_FILE, START_FILE } from '../store/file-names.ts';

/** Given up at the end on a full disk: the closing documents and two minutes of 4 x int16 at 1 kHz. */
export const RESERVE_BYTES = 1 << 20;

/**
 * Makes the folder, which must not exist yet. Gives null, or why there will be no recording; then
 * nothing is left behind. `leastRoom_bytes` is what the disk must have free.
 */
export async function beginRecording(
  folder: string,
  start: StartDocument,
  leastRoom_bytes: number,
): Promise<DiskTrouble | null> {
  const parent = dirname(folder);
  try {
    await makeFolder(parent);
    const free_bytes = await freeBytes(parent);
    if (free_bytes < leastRoom_bytes) {
      const words = `the disk has ${(free_bytes / 1e6).toFixed(1)} MB left, less than ten minutes`;
      return { code: 'diskFull', words, isWorthRepeating: false };
    }
    await mkdir(folder, { mode: 0o700 });
  } catch (error) {
    return diskTrouble(error);
  }
  try {
    await writeNew(join(folder, START_FILE), sealDocument(start, crc32));
    await writeNew(join(folder, README_FILE), Buffer.from(README_TEXT, 'latin1'));
    await writeNew(join(folder, RESERVE_FILE), new Uint8Array(RESERVE_BYTES));
    await syncFolder(folder);
    await syncFolder(parent);
    return null;
  } catch (error) {
    await rm(folder, { recursive: true, force: true }).catch(() => undefined);
    return diskTrouble(error);
  }
}

/** Where it is new, its own name is made durable too. */
async function makeFolder(path: string): Promise<void> {
  try {
    await mkdir(dirname(path), { recursive: true, mode: 0o700 });
    await mkdir(path, { mode: 0o700 });
  } catch (error) {
    if (errorCode(error) === 'EEXIST') return;
    throw error;
  }
  await syncFolder(dirname(path));
}

async function writeNew(path: string, bytes: Uint8Array): Promise<void> {
  const file = await open(path, 'wx', 0o600);
  try {
    await file.writeFile(bytes);
    await file.sync();
  } finally {
    await file.close();
  }
}
