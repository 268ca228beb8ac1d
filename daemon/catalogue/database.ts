/**
 * Opens the catalogue's database: WAL, synchronous FULL (an acknowledged row outlives a power cut),
 * migrated up one version at a time after a copy of the old file. It is derived: entries are the truth.
 */
import { existsSync, renameSync } from 'node:fs';
import Database from 'better-sqlite3';
import { MIGRATIONS } from './migrations.ts';

export type CatalogueDatabase = Database.Database;

/** The file was written by a newer program than this one. */
export class NewerCatalogue extends Error {
  override readonly name = 'NewerCatalogue';
}

/** `migrations` is a parameter so that a test can stop between any two of them. */
export function openDatabase(
  path: string,
  migrations: readonly string[] = MIGRATIONS,
): CatalogueDatabase {
  const database = openSound(path);
  const isNew = versionOf(database) === 0;
  database.pragma('synchronous = FULL');
  database.pragma('foreign_keys = ON');
  const version = versionOf(database);
  if (version > migrations.length) {
    database.close();
    throw new NewerCatalogue(
      `the catalogue has version ${version}, this program knows ${migrations.length}; use the newer program`,
    );
  }
  if (!isNew && version < migrations.length) {
    const copy = `${path}.version-${version}`;
    if (!existsSync(copy)) database.prepare('VACUUM INTO ?').run(copy);
  }
  migrations.slice(version).forEach((sql, i) => {
    database
      .transaction(() => {
        database.exec(sql);
        database.pragma(`user_version = ${version + i + 1}`);
      })
      .immediate();
  });
  return database;
}

/** A damaged file is set aside and a new one begun: the entries fill it again. */
function openSound(path: string): CatalogueDatabase {
  const database = new Database(path);
  try {
    database.pragma('journal_mode = WAL');
    if (database.pragma('quick_check(1)', { simple: true }) === 'ok') return database;
  } catch (error) {
    if (!isDamage(error)) throw error;
  }
  database.close();
  for (const suffix of ['', '-wal', '-shm']) {
    if (existsSync(path + suffix)) renameSync(path + suffix, `${path}.damaged${suffix}`);
  }
  return openSound(path);
}

/** Result codes 11 and 26 of SQLite: the file is malformed, or no database at all. */
function isDamage(error: unknown): boolean {
  return error instanceof Database.SqliteError && /^SQLITE_(CORRUPT|NOTADB)/.test(error.code);
}

function versionOf(database: CatalogueDatabase): number {
  const version: unknown = database.pragma('user_version', { simple: true });
  return typeof version === 'number' ? version : 0;
}
