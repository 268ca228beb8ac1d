/**
 * Entries applied to the database, and items read from it. Applying the same entries in the same
 * order gives the same rows, so a deleted database comes back as it was.
 */
import { entryId, type Entry } from '../../shared/catalogue/entry.ts';
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
  const insertEntry = database.prepare(
    `INSERT INTO entries VALUES (@origin, @number, @at, @who, @kind, @item, @recording, @base,
       @before, @after, @undoes, @state)`,
  );
  const putItem = database.prepare(
    `INSERT INTO items VALUES (@kind, @id, @revision, @recording, @body, @isRemoved, @at, @at)
     ON CONFLICT (kind, id) DO UPDATE SET revision = @revision, body = @body,
       isRemoved = @isRemoved, changedAt = @at`,
  );

  /** Applies one entry; one whose base is not the item's revision is kept as a conflict. */
  function apply(entry: Entry): 'applied' | 'conflict' {
    const row = findItem.get(entry.kind, entry.item);
    const state = (row?.revision ?? 0) === entry.base ? 'applied' : 'conflict';
    const body = entry.after ?? entry.before ?? {};
    const recording = recordingOf(body);
    insertEntry.run({
      ...entry,
      recording,
      before: entry.before && JSON.stringify(entry.before),
      after: entry.after && JSON.stringify(entry.after),
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
    audit(filter: AuditFilter): AuditRow[] {
      const { kind = null, item = null, state = null, limit, offset } = filter;
      return database
        .prepare<unknown[], EntryRow>(
          `SELECT * FROM entries
           WHERE (? IS NULL OR kind = ?) AND (? IS NULL OR item = ?) AND (? IS NULL OR state = ?)
           ORDER BY at DESC, origin DESC, number DESC LIMIT ? OFFSET ?`,
        )
        .all(kind, kind, item, item, state, state, limit, offset)
        .map(auditRowOf);
    },
  };
}

export type ItemStore = ReturnType<typeof createItemStore>;

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
  const { origin, number, at, who, item, base, state } = row;
  return {
    id: entryId(row),
    ...{ origin, number, at, who, kind: kindOf(row.kind), item, base },
    before: bodyOf(row.before),
    after: bodyOf(row.after),
    ...(row.undoes === null ? {} : { undoes: row.undoes }),
    state,
  };
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
