/**
 * Deleting a recording: the entry that says so is on the disk first, then its folder goes with all that was
 * decided about it. What must still be kept is refused. A crash on the way is finished at the next start.
 */
import { readdir, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { recordingFolder } from '../store/file-names.ts';
import { syncFolder } from '../platform.ts';
import type { Archive } from '../station-archive.ts';
import { NotThere } from './catalogue.ts';

/** Folders on their way out stand in the data folder under this name and their id. */
const LEAVING = 'deleting-';

/** It may not be deleted now; the message says why. */
export class Kept extends Error {
  override readonly name = 'Kept';
}

export async function deleteRecording(
  archive: Archive,
  id: string,
  { who, reason, today }: { readonly who: string; readonly reason: string; readonly today: Date },
): Promise<void> {
  const { dataFolder, catalogue, library } = archive;
  const entry = library.entry(id);
  if (entry === null) throw new NotThere(`There is no recording ${id}.`);
  if (entry.status === 'recording') throw new Kept('It is being recorded; stop it first.');
  const kept = catalogue.get('retention', id)?.body['keepUntil'];
  if (typeof kept === 'string' && kept > today.toISOString().slice(0, 10)) {
    throw new Kept(`It must be kept until ${kept}.`);
  }
  const { subject, startedAt, samples } = entry;
  // A crash may have come between the entry and the end of the folder: then only that is left to do.
  if (!catalogue.get('removal', id)) {
    catalogue.create('removal', { about: id, reason, subject, startedAt, samples }, who);
  }
  await removeFolder(dataFolder, id);
  catalogue.reread();
  library.forget(id);
  archive.changed(id);
}

/** Finishes what a crash interrupted. */
export async function sweepDeleted(dataFolder: string): Promise<void> {
  for (const name of await readdir(dataFolder).catch(() => [])) {
    if (name.startsWith(LEAVING))
      await rm(join(dataFolder, name), { recursive: true, force: true });
  }
}

async function removeFolder(dataFolder: string, id: string): Promise<void> {
  const leaving = join(dataFolder, LEAVING + id);
  await rename(recordingFolder(dataFolder, id), leaving);
  await syncFolder(join(dataFolder, 'recordings'));
  await rm(leaving, { recursive: true, force: true });
}
