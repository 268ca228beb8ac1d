/**
 * Entries applied to the database, and items read from it. Applying the same entries in the same
 * order gives the same rows, so a deleted database comes back as it was.
 */
import { entryId, type Entry } from '../../shared/catalogue/entry.ts';
import { isNext } from '../../shared/catalogue/fold.ts';
import { isKind, recordingOf, type Kind } from '../../shared/catalogue/kinds.ts';
import type { CatalogueDatabase } from './database.ts';

export interface Item {
  readonly kind: Kind;
  readonly id: string;
  readonly revision: number;
  readonly createdAt: string;
  readonly changedAt: string;
  readonly body: Readonly<Record<string, unknown>>;
}

export interface AuditRow extends Entry {
  readonly id: string;
  readonly state: 'applied' | 'conflict';
}

interface ItemRow {
  kind: string;
  id: string;
  revision: number;
  body: string;
  isRemoved: number;
  createdAt: string;
  changedAt: string;
}

interface EntryRow {
  origin: string;
  number: number;
  clock: number;
  at: string;
  who: string;
  kind: string;
  item: string;
  base: number;
  before: string | null;
  after: string | null;
  undoes: string | null;
  state: 'applied' | 'conflict';
}

export interface AuditFilter {
  readonly kind?: Kind | undefined;
  readonly item?: string | undefined;
  readonly recording?: string | undefined;
  readonly state?: 'applied' | 'conflict' | undefined;
  readonly limit: number;
  readonly offset: number;
}

/** Statements prepared once for a database. */
export function createItemStore(database: CatalogueDatabase) {
  const findItem = database.prepare<[string, string], ItemRow>(
    'SELECT * FROM items WHERE kind = ? AND id = ?',
  );
  const listItems = database.prepare<[string], ItemRow>(
    'SELECT * FROM items WHERE kind = ? AND isRemoved = 0 ORDER BY createdAt, id',
  );
  const listOfRecording = database.prepare<[string], ItemRow>(
    'SELECT * FROM items WHERE recording = ? AND isRemoved = 0 ORDER BY kind, id',
  );
  const findEntry = database.prepare<[string, number], EntryRow>(
    'SELECT * FROM entries WHERE origin = ? AND number = ?',
  );
  const lastNumber = database.prepare<[string], { last: number | null }>(
    'SELECT max(number) AS last FROM entries WHERE origin = ?',
  );
  const lastClock = database.prepare<[], { last: number | null }>(
    'SELECT max(clock) AS last FROM entries',
  );
  const insertEntry = database.prepare(
    `INSERT INTO entries VALUES (@origin, @number, @clock, @at, @who, @kind, @item, @recording, @base,
       @before, @after, @undoes, @state)`,
  );
  const putItem = database.prepare(
    `INSERT INTO items VALUES (@kind, @id, @revision, @recording, @body, @isRemoved, @at, @at)
     ON CONFLICT (kind, id) DO UPDATE SET revision = @revision, body = @body,
       isRemoved = @isRemoved, changedAt = @at`,
  );

  /** Applies one entry; one that changed another version than the present one is kept as a conflict. */
  function apply(entry: Entry): 'applied' | 'conflict' {
    const row = findItem.get(entry.kind, entry.item);
    const present = row && !row.isRemoved ? bodyOf(row.body) : null;
    const state = isNext(entry, row?.revision ?? 0, present) ? 'applied' : 'conflict';
    const body = entry.after ?? entry.before ?? {};
    const recording = recordingOf(body);
    insertEntry.run({
      ...entry,
      recording,
      before: jsonOf(entry.before),
      after: jsonOf(entry.after),
      undoes: entry.undoes ?? null,
      state,
    });
    if (state === 'applied') {
      putItem.run({
        kind: entry.kind,
        id: entry.item,
        revision: entry.base + 1,
        recording,
        body: JSON.stringify(body),
        isRemoved: entry.after === null ? 1 : 0,
        at: entry.at,
      });
    }
    return state;
  }

  return {
    apply,
    has: (entry: Entry) => findEntry.get(entry.origin, entry.number) !== undefined,
    lastNumber: (origin: string) => lastNumber.get(origin)?.last ?? 0,
    lastClock: () => lastClock.get()?.last ?? 0,
    /** The item, or null when it never was or was removed; `revision` counts removals too. */
    find(kind: Kind, id: string): { revision: number; item: Item | null } {
      const row = findItem.get(kind, id);
      if (!row) return { revision: 0, item: null };
      return { revision: row.revision, item: row.isRemoved ? null : itemOf(row) };
    },
    list: (kind: Kind) => listItems.all(kind).map(itemOf),
    ofRecording: (recording: string) => listOfRecording.all(recording).map(itemOf),
    entry(origin: string, number: number): AuditRow | null {
      const row = findEntry.get(origin, number);
      return row ? auditRowOf(row) : null;
    },
    audit: (filter: AuditFilter) => auditOf(database, filter),
  };
}

export type ItemStore = ReturnType<typeof createItemStore>;

function auditOf(database: CatalogueDatabase, filter: AuditFilter): AuditRow[] {
  const { kind = null, item = null, recording = null, state = null, limit, offset } = filter;
  return database
    .prepare<unknown[], EntryRow>(
      `SELECT * FROM entries
       WHERE (@kind IS NULL OR kind = @kind) AND (@item IS NULL OR item = @item)
         AND (@recording IS NULL OR recording = @recording)
         AND (@state IS NULL OR state = @state)
       ORDER BY clock DESC, origin DESC, number DESC LIMIT @limit OFFSET @offset`,
    )
    .all({ kind, item, recording, state, limit, offset })
    .map(auditRowOf);
}

function itemOf(row: ItemRow): Item {
  const { id, revision, createdAt, changedAt } = row;
  return {
    kind: kindOf(row.kind),
    id,
    revision,
    createdAt,
    changedAt,
    body: bodyOf(row.body) ?? {},
  };
}

function auditRowOf(row: EntryRow): AuditRow {
  const { origin, number, clock, at, who, item, base, state } = row;
  return {
    id: entryId(row),
    ...{ origin, number, clock, at, who, kind: kindOf(row.kind), item, base },
    before: bodyOf(row.before),
    after: bodyOf(row.after),
    ...(row.undoes === null ? {} : { undoes: row.undoes }),
    state,
  };
}

function jsonOf(body: object | null): string | null {
  return body && JSON.stringify(body);
}

function kindOf(name: string): Kind {
  if (!isKind(name)) throw new Error(`the catalogue holds an unknown kind: ${name}`);
  return name;
}

/** What we wrote ourselves as an object of JSON. */
function bodyOf(text: string | null): Record<string, unknown> | null {
  if (text === null) return null;
  const value: unknown = JSON.parse(text);
  return typeof value === 'object' && value !== null
    ? Object.fromEntries(Object.entries(value))
    : {};
}
