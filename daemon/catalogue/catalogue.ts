/**
 * The catalogue: every decision is on the disk as an entry before the database sees it, and before
 * anyone is told that it was saved. Two who change the same revision: one is told 409, none is lost.
 */
import { existsSync } from 'node:fs';
import { join, relative } from 'node:path';
import * as v from 'valibot';
import { entryId, inOrder, type Entry } from '../../shared/catalogue/entry.ts';
import {
  KINDS,
  naturalId,
  recordingOf,
  type Body,
  type Kind,
} from '../../shared/catalogue/kinds.ts';
import { openDatabase, type CatalogueDatabase } from './database.ts';
import { appendEntry } from './entry-log.ts';
import {
  CATALOGUE_LOG,
  catchUp,
  DATABASE,
  EDITS_LOG,
  rebuild,
  rememberLog,
  type LogDamage,
} from './logs.ts';
import {
  createItemStore,
  type AuditFilter,
  type AuditRow,
  type Item,
  type ItemStore,
} from './items.ts';

/** Somebody else changed the item first: both versions, so that a person can decide. */
export class Conflict extends Error {
  override readonly name = 'Conflict';
  readonly theirs: Item | null;
  readonly revision: number;
  constructor(theirs: Item | null, revision: number) {
    super('Somebody changed this in the meantime. Both versions are here; nothing was lost.');
    this.theirs = theirs;
    this.revision = revision;
  }
}

/** There is no such item or entry, or it cannot be taken back. */
export class NotThere extends Error {
  override readonly name = 'NotThere';
}

/** The item does not fit its address: its own id says another thing. */
export class Misfit extends Error {
  override readonly name = 'Misfit';
}

export interface Catalogue {
  create<K extends Kind>(kind: K, body: Body<K>, who: string): Item;
  /** `base` is the revision that was read; null as body removes the item. */
  change<K extends Kind>(
    kind: K,
    id: string,
    change: { body: Body<K> | null; base: number; who: string },
  ): Item | null;
  /** Takes an entry back by a new entry; taking that one back is the redo. */
  undo(entryId: string, who: string): AuditRow;
  get(kind: Kind, id: string): Item | null;
  list(kind: Kind): Item[];
  ofRecording(recording: string): Item[];
  audit(filter: AuditFilter): AuditRow[];
  /** Adds entries made elsewhere; the same entry twice is one. An older one here may lose by it. */
  merge(entries: readonly Entry[]): { added: number; conflicts: number };
  /** Fills the database from the logs again, after a recording's folder came or went. */
  reread(): void;
  /** Lines of the logs that are damaged, by file. */
  readonly damage: readonly LogDamage[];
  readonly database: CatalogueDatabase;
  close(): void;
}

interface Options {
  readonly dataFolder: string;
  /** Twelve hexadecimal digits that stand for this data folder in every entry. */
  readonly origin: string;
  readonly now: () => Date;
  /** Something about this recording was decided; called after it is saved. */
  readonly changed?: (recording: string) => void;
}

export function openCatalogue(options: Options): Catalogue {
  const { dataFolder } = options;
  const database = openDatabase(join(dataFolder, DATABASE));
  const items = createItemStore(database);
  const damage = catchUp(dataFolder, database, items);
  const inConflict = (): number => items.audit({ state: 'conflict', limit: -1, offset: 0 }).length;
  const put = createWriter(options, database, items);

  return {
    database,
    damage,
    create(kind, body, who) {
      const checked = v.parse(KINDS[kind], body);
      const id = naturalId(kind, checked);
      const { revision, item } = id === null ? NEW : items.find(kind, id);
      if (item) throw new Conflict(item, revision);
      return there(items, put({ kind, id, base: revision, after: checked, who }));
    },
    change(kind, id, { body, base, who }) {
      const checked = body && v.parse(KINDS[kind], body);
      if (!items.find(kind, id).item) throw new NotThere(`There is no ${kind} ${id}.`);
      const own = checked && naturalId(kind, checked);
      if (own !== null && own !== id) throw new Misfit(`This ${kind} is ${own}, not ${id}.`);
      put({ kind, id, base, after: checked, who });
      return items.find(kind, id).item;
    },
    undo(entry, who) {
      const [, from = '', at = ''] = /^([0-9a-f]{12})-(\d+)$/.exec(entry) ?? [];
      const row = items.entry(from, Number(at));
      if (row?.state !== 'applied' || row.kind === 'removal') {
        throw new NotThere(`There is no entry ${entry} that can be taken back.`);
      }
      const { kind, item: id, base, before: after } = row;
      const made = put({ kind, id, base: base + 1, after, who, undoes: entry });
      return (
        items.entry(made.origin, made.number) ?? { ...made, id: entryId(made), state: 'applied' }
      );
    },
    get: (kind, id) => items.find(kind, id).item,
    list: (kind) => items.list(kind),
    ofRecording: (recording) => items.ofRecording(recording),
    audit: (filter) => items.audit(filter),
    merge(entries) {
      const fresh = entries.filter((entry) => !items.has(entry)).sort(inOrder);
      for (const entry of fresh) appendEntry(logFor(dataFolder, entry), entry);
      const before = inConflict();
      if (fresh.length > 0) rebuild(dataFolder, database, items);
      return { added: fresh.length, conflicts: inConflict() - before };
    },
    reread: () => void rebuild(dataFolder, database, items),
    close: () => database.close(),
  };
}

const NEW = { revision: 0, item: null };

interface Put {
  readonly kind: Kind;
  /** Null for a new thing without an id of its own: it gets that of its first entry. */
  readonly id: string | null;
  readonly base: number;
  readonly after: object | null;
  readonly who: string;
  readonly undoes?: string;
}

/** Writes entries: first the log, synced, then the database. */
function createWriter(options: Options, database: CatalogueDatabase, items: ItemStore) {
  const { dataFolder, origin, now } = options;
  let last = items.lastNumber(origin);

  return ({ kind, id, base, after, who, undoes }: Put): Entry => {
    const { revision, item } = id === null ? NEW : items.find(kind, id);
    if (revision !== base) throw new Conflict(item, revision);
    // A number is used up even when the disk refuses: what it holds of the line may come back.
    last += 1;
    const entry: Entry = {
      ...{ origin, number: last, clock: items.lastClock() + 1, at: now().toISOString() },
      ...{ who, kind, base },
      item: id ?? `${origin}-${last}`,
      before: item && { ...item.body },
      after: after && { ...after },
      ...(undoes === undefined ? {} : { undoes }),
    };
    const path = logFor(dataFolder, entry);
    appendEntry(path, entry);
    database
      .transaction(() => {
        items.apply(entry);
        rememberLog(database, dataFolder, relative(dataFolder, path));
      })
      .immediate();
    const about = recordingOf(after ?? item?.body ?? {});
    if (about !== null) options.changed?.(about);
    return entry;
  };
}

/** Entries about a recording stand in its own folder, so that they travel with it. */
function logFor(dataFolder: string, { before, after }: Entry): string {
  const recording = recordingOf(after ?? before ?? {});
  if (recording === null) return join(dataFolder, CATALOGUE_LOG);
  const folder = join(dataFolder, 'recordings', recording);
  if (!existsSync(folder)) throw new NotThere(`There is no recording ${recording}.`);
  return join(folder, EDITS_LOG);
}

function there(items: ItemStore, { kind, item: id }: Entry): Item {
  const { item } = items.find(kind, id);
  if (!item) throw new Error(`${kind} ${id} was just saved and is missing`);
  return item;
}
