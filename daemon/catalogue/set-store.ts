/** The library's rows in the database, so that a start need not read every folder again. Derived. */
import type { CatalogueDatabase } from './database.ts';
import type { SetRow } from './set-row.ts';

/** The columns that the library is filtered by, and the row as it is sent. */
export interface StoredSet {
  readonly row: SetRow;
  /** The decisions that the row follows. */
  readonly key: string;
}

export interface SetStore {
  put(set: StoredSet): void;
  remove(id: string): void;
  get(id: string): StoredSet | null;
  all(): StoredSet[];
  clear(): void;
}

export function createSetStore(database: CatalogueDatabase): SetStore {
  const put = database.prepare(
    `INSERT INTO sets VALUES (@id, @startedAt, @subject, @pattern, @side, @mode, @key, @row)
     ON CONFLICT (id) DO UPDATE SET startedAt = @startedAt, subject = @subject,
       pattern = @pattern, side = @side, mode = @mode, key = @key, row = @row`,
  );
  const remove = database.prepare('DELETE FROM sets WHERE id = ?');
  const get = database.prepare<[string], { key: string; row: string }>(
    'SELECT key, row FROM sets WHERE id = ?',
  );
  const all = database.prepare<[], { key: string; row: string }>(
    'SELECT key, row FROM sets ORDER BY startedAt, id',
  );
  return {
    put({ row, key }) {
      const { id, startedAt, subject, pattern, side, mode } = row;
      put.run({ id, startedAt, subject, pattern, side, mode, key, row: JSON.stringify(row) });
    },
    remove: (id) => void remove.run(id),
    get(id) {
      const found = get.get(id);
      return found ? storedOf(found) : null;
    },
    all: () => all.all().map(storedOf),
    clear: () => void database.exec('DELETE FROM sets'),
  };
}

/** What we wrote ourselves as the JSON of a row. */
function storedOf({ key, row }: { key: string; row: string }): StoredSet {
  return { key, row: JSON.parse(row) as SetRow };
}
