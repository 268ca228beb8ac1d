/**
 * Another station's recordings and decisions taken in. Ids are unique in the world: the same recording
 * twice is one; another content under a known id is refused and named. Entries are merged, conflicts kept.
 */
import { existsSync, readFileSync } from 'node:fs';
import { mkdir, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { Entry } from '../../shared/catalogue/entry.ts';
import { recordingOf } from '../../shared/catalogue/kinds.ts';
import { syncFolder } from '../platform.ts';
import type { Archive } from '../station-archive.ts';
import { EDITS_FILE, recordingFolder, recordingsFolder, STOP_FILE } from '../store/file-names.ts';
import { verifyRecording } from '../store/verify.ts';
import { copySynced, filesOfRecording, recordingsIn } from './copy-files.ts';
import { readEntries } from './entry-log.ts';
import { CATALOGUE_LOG } from './logs.ts';

export interface ImportReport {
  readonly added: readonly string[];
  readonly same: readonly string[];
  /** Recordings that were not taken in, and why. */
  readonly refused: readonly { readonly recording: string; readonly why: string }[];
  readonly decisions: {
    readonly added: number;
    /** Changes of one version on both sides: shown in the audit trail, neither is lost. */
    readonly conflicts: number;
    /** About recordings that are not here. */
    readonly leftOut: number;
    readonly damagedLines: number;
  };
}

export async function importFolder(archive: Archive, from: string): Promise<ImportReport> {
  const { dataFolder, catalogue } = archive;
  const added: string[] = [];
  const same: string[] = [];
  const refused: { recording: string; why: string }[] = [];
  const { closed, open } = recordingsIn(from);
  for (const id of closed) {
    const known = standing(archive, from, id);
    if (known === 'same') same.push(id);
    else if (known !== null) refused.push({ recording: id, why: known });
    else {
      await copyRecording(dataFolder, from, id);
      added.push(id);
    }
  }
  for (const id of open) refused.push({ recording: id, why: 'it is not closed' });
  const logs = [CATALOGUE_LOG, ...closed.map((id) => join('recordings', id, EDITS_FILE))];
  const readings = logs.map((name) => readEntries(join(from, name)));
  const entries = readings.flatMap((reading) => reading.entries);
  const ours = entries.filter((entry) => isAboutSomethingHere(dataFolder, entry));
  const merged = catalogue.merge(ours);
  for (const id of [...added, ...same]) archive.changed(id);
  return {
    ...{ added, same, refused },
    decisions: {
      ...merged,
      leftOut: entries.length - ours.length,
      damagedLines: readings.reduce((sum, { damagedLines }) => sum + damagedLines.length, 0),
    },
  };
}

/** Null when it can be taken in, `same` when it is here, else why not. */
function standing({ dataFolder, catalogue }: Archive, from: string, id: string): string | null {
  const theirs = recordingFolder(from, id);
  const ours = recordingFolder(dataFolder, id);
  if (existsSync(ours)) {
    const stops = [theirs, ours].map((folder) => join(folder, STOP_FILE));
    const [a, b] = stops.map((path) => (existsSync(path) ? readFileSync(path) : null));
    // The closing document holds the digest of every file: the same one, the same recording.
    return a && b && a.equals(b) ? 'same' : 'another recording has this id here';
  }
  if (catalogue.get('removal', id)) return 'it was deleted here';
  const { isSound, findings } = verifyRecording(theirs);
  return isSound ? null : `it is damaged: ${findings[0]?.message ?? 'see verify'}`;
}

/** Under another name until it is whole; the decisions come by themselves. */
async function copyRecording(dataFolder: string, from: string, id: string): Promise<void> {
  const parent = recordingsFolder(dataFolder);
  const arriving = join(parent, `.arriving-${id}`);
  await rm(arriving, { recursive: true, force: true });
  await mkdir(arriving, { recursive: true, mode: 0o700 });
  for (const name of filesOfRecording(recordingFolder(from, id))) {
    if (name === EDITS_FILE) continue;
    await copySynced(join(recordingFolder(from, id), name), join(arriving, name));
  }
  await syncFolder(arriving);
  await rename(arriving, recordingFolder(dataFolder, id));
  await syncFolder(parent);
}

function isAboutSomethingHere(dataFolder: string, { before, after }: Entry): boolean {
  const recording = recordingOf(after ?? before ?? {});
  return recording === null || existsSync(recordingFolder(dataFolder, recording));
}
