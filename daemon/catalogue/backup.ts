/**
 * A backup: closed recordings, logs, set-up and a copy of the database, with a list of digests that
 * `sha256sum -c` reads too. It may be made while the station runs. Restoring checks every digest first.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { mkdir, writeFile } from 'node:fs/promises';
import { isAbsolute, join, normalize, sep } from 'node:path';
import Database from 'better-sqlite3';
import { copySynced, filesOfRecording, recordingsIn, sha256Of } from './copy-files.ts';
import { CATALOGUE_LOG, DATABASE } from './logs.ts';

export const DIGESTS_FILE = 'digests.sha256';
/** The origin stays behind: a restored folder that shared it would give the same numbers twice. */
const OTHER_FILES = [CATALOGUE_LOG, 'station.json'];

export interface BackupReport {
  readonly recordings: number;
  readonly files: number;
  /** Recordings that are under way or were left open by a crash: not in the backup. */
  readonly leftOut: readonly string[];
}

/** `to` must be empty or absent. */
export async function backUp(dataFolder: string, to: string): Promise<BackupReport> {
  const { closed, open } = recordingsIn(dataFolder);
  await mkdir(to, { recursive: true, mode: 0o700 });
  const digests: string[] = [];
  const copy = async (name: string): Promise<void> => {
    const digest = await copySynced(join(dataFolder, name), join(to, name));
    digests.push(`${digest}  ${name}`);
  };
  for (const name of OTHER_FILES) if (existsSync(join(dataFolder, name))) await copy(name);
  for (const id of closed) {
    const folder = join(dataFolder, 'recordings', id);
    for (const name of filesOfRecording(folder)) await copy(`recordings/${id}/${name}`);
  }
  if (existsSync(join(dataFolder, DATABASE))) {
    const database = new Database(join(dataFolder, DATABASE), { readonly: true });
    try {
      database.prepare('VACUUM INTO ?').run(join(to, DATABASE));
    } finally {
      database.close();
    }
    digests.push(`${await sha256Of(join(to, DATABASE))}  ${DATABASE}`);
  }
  await writeFile(join(to, DIGESTS_FILE), `${digests.join('\n')}\n`);
  return { recordings: closed.length, files: digests.length, leftOut: open };
}

export interface Checked {
  readonly names: readonly string[];
  /** Files that are missing or not what was backed up. */
  readonly wrong: readonly string[];
}

/** Null when there is no list of digests. */
export async function checkBackup(from: string): Promise<Checked | null> {
  const list = join(from, DIGESTS_FILE);
  if (!existsSync(list)) return null;
  const names: string[] = [];
  const wrong: string[] = [];
  for (const line of readFileSync(list, 'utf8').split('\n')) {
    if (line === '') continue;
    const [, digest, name] = /^([0-9a-f]{64}) {2}(.+)$/.exec(line) ?? [];
    if (digest === undefined || name === undefined || !staysInside(name)) {
      wrong.push(`${DIGESTS_FILE}: ${line.slice(0, 100)}`);
      continue;
    }
    names.push(name);
    const path = join(from, name);
    if (!existsSync(path) || (await sha256Of(path)) !== digest) wrong.push(name);
  }
  return { names, wrong };
}

/** Copies the checked files; `to` must be empty or absent. */
export async function restore(from: string, to: string, names: readonly string[]): Promise<void> {
  await mkdir(to, { recursive: true, mode: 0o700 });
  for (const name of names) await copySynced(join(from, name), join(to, name));
}

export const isEmptyPlace = (path: string): boolean =>
  !existsSync(path) || readdirSync(path).length === 0;

/** A name in the list never leads out of the folder. */
function staysInside(name: string): boolean {
  return !isAbsolute(name) && !normalize(name).split(sep).includes('..');
}
