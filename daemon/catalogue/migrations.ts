/**
 * The catalogue's schema, one step a version. A step is never changed once it has been used: a new
 * one is added. Each runs in one immediate transaction, so a crash leaves the old schema or the new.
 */

export const MIGRATIONS: readonly string[] = [
  `CREATE TABLE entries (
     origin TEXT NOT NULL,
     number INTEGER NOT NULL,
     clock INTEGER NOT NULL,
     at TEXT NOT NULL,
     who TEXT NOT NULL,
     kind TEXT NOT NULL,
     item TEXT NOT NULL,
     recording TEXT,
     base INTEGER NOT NULL,
     before TEXT,
     after TEXT,
     undoes TEXT,
     state TEXT NOT NULL CHECK (state IN ('applied', 'conflict')),
     PRIMARY KEY (origin, number)
   ) STRICT, WITHOUT ROWID;
   CREATE INDEX entries_of_item ON entries (kind, item);
   CREATE INDEX entries_in_order ON entries (clock, origin, number);
   CREATE TABLE items (
     kind TEXT NOT NULL,
     id TEXT NOT NULL,
     revision INTEGER NOT NULL,
     recording TEXT,
     body TEXT NOT NULL,
     isRemoved INTEGER NOT NULL CHECK (isRemoved IN (0, 1)),
     createdAt TEXT NOT NULL,
     changedAt TEXT NOT NULL,
     PRIMARY KEY (kind, id)
   ) STRICT, WITHOUT ROWID;
   CREATE INDEX items_of_recording ON items (recording, kind) WHERE recording IS NOT NULL;
   CREATE TABLE logs (
     name TEXT NOT NULL PRIMARY KEY,
     bytes INTEGER NOT NULL
   ) STRICT, WITHOUT ROWID;`,
  `CREATE TABLE sets (
     id TEXT NOT NULL PRIMARY KEY,
     startedAt TEXT NOT NULL,
     subject TEXT NOT NULL,
     pattern TEXT NOT NULL,
     side TEXT NOT NULL,
     mode TEXT NOT NULL,
     key TEXT NOT NULL,
     row TEXT NOT NULL
   ) STRICT;
   CREATE INDEX sets_in_order ON sets (startedAt, id);
   CREATE INDEX sets_of_subject ON sets (subject, startedAt);
   CREATE INDEX entries_of_recording ON entries (recording, clock) WHERE recording IS NOT NULL;`,
];
