/** Schema changes: the old schema or the new one, never between; an older program says so in words. */
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { openCatalogue, type Catalogue } from '../../../daemon/catalogue/catalogue.ts';
import { NewerCatalogue, openDatabase } from '../../../daemon/catalogue/database.ts';
import { DATABASE, deleteDatabase } from '../../../daemon/catalogue/logs.ts';
import { MIGRATIONS } from '../../../daemon/catalogue/migrations.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'momentarm-migrations-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const path = () => join(folder, 'catalogue.sqlite');
const schemaOf = (database: ReturnType<typeof openDatabase>) =>
  database.prepare('SELECT name, sql FROM sqlite_schema ORDER BY name').all();

function freshSchema() {
  const database = openDatabase(join(folder, 'fresh.sqlite'));
  const schema = schemaOf(database);
  database.close();
  return schema;
}

test('every earlier version is brought up to the newest, after a copy was kept', () => {
  const extended = [...MIGRATIONS, 'CREATE TABLE later (id TEXT PRIMARY KEY) STRICT'];
  for (let version = 1; version < extended.length; version += 1) {
    rmSync(path(), { force: true });
    openDatabase(path(), extended.slice(0, version)).close();
    const database = openDatabase(path(), extended);
    expect(database.pragma('user_version', { simple: true })).toBe(extended.length);
    expect(schemaOf(database)).toHaveLength(freshSchema().length + 2);
    database.close();
    expect(existsSync(`${path()}.version-${version}`)).toBe(true);
  }
});

test('data of every earlier version come along, and every answer is that of a new database', () => {
  for (let version = 1; version <= MIGRATIONS.length; version += 1) {
    const dataFolder = mkdtempSync(join(folder, 'data-'));
    const now = () => new Date(Date.UTC(2026, 10, 25));
    const open = () => openCatalogue({ dataFolder, origin: '0123456789ab', now });
    const made = open();
    made.create('subject', { code: 'SH-01', notes: 'old' }, 'T1');
    made.create('note', { about: 'SH-01', text: 'older' }, 'T2');
    const answers = (catalogue: Catalogue) =>
      JSON.stringify([catalogue.list('subject'), catalogue.audit({ limit: -1, offset: 0 })]);
    const expected = answers(made);
    const rows = ['entries', 'items', 'logs'].map((table) => ({
      table,
      rows: made.database.prepare<[], object>(`SELECT * FROM ${table}`).all(),
    }));
    made.close();
    deleteDatabase(dataFolder);
    const old = openDatabase(join(dataFolder, DATABASE), MIGRATIONS.slice(0, version));
    for (const { table, rows: kept } of rows) {
      for (const row of kept) {
        const names = Object.keys(row).map((name) => `@${name}`);
        old.prepare(`INSERT INTO ${table} VALUES (${names.join(', ')})`).run(row);
      }
    }
    old.close();
    const migrated = open();
    expect(answers(migrated)).toBe(expected);
    migrated.close();
  }
});

test('a step that fails half-way leaves the schema as it was', () => {
  openDatabase(path()).close();
  const broken = [...MIGRATIONS, 'CREATE TABLE half (id TEXT) STRICT; CREATE TABLE nonsense ('];
  expect(() => openDatabase(path(), broken)).toThrow();
  const database = openDatabase(path());
  expect(schemaOf(database)).toEqual(freshSchema());
  database.close();
});

test('a catalogue of a newer program is refused in words', () => {
  openDatabase(path(), [...MIGRATIONS, 'CREATE TABLE later (id TEXT) STRICT']).close();
  expect(() => openDatabase(path())).toThrow(NewerCatalogue);
});

test('an acknowledged row is synced: WAL with synchronous FULL', () => {
  // SQLite documentation, "PRAGMA synchronous": in WAL mode only FULL (2) survives a power cut.
  const database = openDatabase(path());
  expect(database.pragma('synchronous', { simple: true })).toBe(2);
  expect(database.pragma('journal_mode', { simple: true })).toBe('wal');
  database.close();
});
