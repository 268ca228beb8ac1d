/** Files of a data folder that are kept elsewhere, copied with their digests, and checked against them. */
import { createHash } from 'node:crypto';
import { createReadStream, existsSync, readdirSync } from 'node:fs';
import { copyFile, mkdir, open } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { isRecordingId, STOP_FILE } from '../store/file-names.ts';

/** Derived or half-written: made again when needed. */
const LEFT_OUT = /^overview-\d+\.bin$|\.tmp$|\.partial$|^reserve\.bin$|^\./;

/** Names of a recording's files that are copied, in order. */
export function filesOfRecording(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true })
    .filter((entry) => entry.isFile() && !LEFT_OUT.test(entry.name))
    .map((entry) => entry.name)
    .sort();
}

/** Ids of recordings, those that are closed and those that are not. */
export function recordingsIn(dataFolder: string): { closed: string[]; open: string[] } {
  const parent = join(dataFolder, 'recordings');
  const ids = existsSync(parent) ? readdirSync(parent).filter(isRecordingId).sort() : [];
  const isClosed = (id: string) => existsSync(join(parent, id, STOP_FILE));
  return { closed: ids.filter(isClosed), open: ids.filter((id) => !isClosed(id)) };
}

/** Copies and syncs; gives the SHA-256 of what was written. */
export async function copySynced(from: string, to: string): Promise<string> {
  await mkdir(dirname(to), { recursive: true, mode: 0o700 });
  await copyFile(from, to);
  const file = await open(to, 'r+');
  try {
    await file.sync();
  } finally {
    await file.close();
  }
  return sha256Of(to);
}

export async function sha256Of(path: string): Promise<string> {
  const hash = createHash('sha256');
  for await (const piece of createReadStream(path)) hash.update(piece as Buffer);
  return hash.digest('hex');
}
