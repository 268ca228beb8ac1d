/**
 * Opens the catalogue's database: WAL, synchronous FULL (an acknowledged row outlives a power cut),
 * migrated up one version at a time after a copy of the old file. It is derived: entries are the truth.
 */
import { existsSync } from 'node:fs';
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
  const isNew = !existsSync(path);
  const database = new Database(path);
  database.pragma('journal_mode = WAL');
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

function versionOf(database: CatalogueDatabase): number {
  const version: unknown = database.pragma('user_version', { simple: true });
  return typeof version === 'number' ? version : 0;
}
