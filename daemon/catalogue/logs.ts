/**
 * The logs of a data folder and the database that follows them: what stands in a log and not in the
 * database is applied at start; a deleted or stale database is filled anew, to the same rows.
 */
import { existsSync, readdirSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { inOrder } from '../../shared/catalogue/entry.ts';
import type { CatalogueDatabase } from './database.ts';
import { readEntries } from './entry-log.ts';
import type { ItemStore } from './items.ts';

export const CATALOGUE_LOG = 'catalogue.jsonl';
export const EDITS_LOG = 'edits.jsonl';
export const DATABASE = 'catalogue.sqlite';

/** Lines of a log that are not what was written. */
export interface LogDamage {
  readonly file: string;
  readonly lines: readonly number[];
}

/** Logs of the data folder, relative to it: the catalogue's own and one a recording. */
export function logNames(dataFolder: string): string[] {
  const recordings = join(dataFolder, 'recordings');
  const folders = existsSync(recordings) ? readdirSync(recordings).sort() : [];
  return [CATALOGUE_LOG, ...folders.map((name) => join('recordings', name, EDITS_LOG))].filter(
    (name) => existsSync(join(dataFolder, name)),
  );
}

export function rememberLog(database: CatalogueDatabase, dataFolder: string, name: string): void {
  database
    .prepare(
      'INSERT INTO logs VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET bytes = excluded.bytes',
    )
    .run(name, statSync(join(dataFolder, name)).size);
}

/** Applies what stands in the logs and not yet in the database: a crash came between the two. */
export function catchUp(
  dataFolder: string,
  database: CatalogueDatabase,
  items: ItemStore,
): LogDamage[] {
  const rows = database.prepare<[], { name: string; bytes: number }>('SELECT * FROM logs').all();
  const known = new Map(rows.map(({ name, bytes }) => [name, bytes]));
  const names = logNames(dataFolder);
  const isChanged = (name: string) => known.get(name) !== statSync(join(dataFolder, name)).size;
  if (names.some(isChanged) || [...known.keys()].some((name) => !names.includes(name))) {
    return rebuild(dataFolder, database, items);
  }
  return [];
}

/** Empties the database and fills it from the logs, in one transaction. */
export function rebuild(
  dataFolder: string,
  database: CatalogueDatabase,
  items: ItemStore,
): LogDamage[] {
  const names = logNames(dataFolder);
  const readings = names.map((name) => ({ name, ...readEntries(join(dataFolder, name)) }));
  database
    .transaction(() => {
      database.exec('DELETE FROM entries; DELETE FROM items; DELETE FROM logs;');
      for (const entry of readings.flatMap(({ entries }) => entries).sort(inOrder)) {
        if (!items.has(entry)) items.apply(entry);
      }
      for (const name of names) rememberLog(database, dataFolder, name);
    })
    .immediate();
  return readings
    .filter(({ damagedLines }) => damagedLines.length > 0)
    .map(({ name, damagedLines }) => ({ file: name, lines: damagedLines }));
}

/** Deletes the database; the next `openCatalogue` fills a new one from the logs. */
export function deleteDatabase(dataFolder: string): void {
  for (const suffix of ['', '-wal', '-shm']) {
    rmSync(join(dataFolder, DATABASE + suffix), { force: true });
  }
}
