/**
 * The sets of the library, kept up to date: a row follows when a recording begins, ends, gets results or
 * is edited. Work goes on behind the scenes, one recording at a time; `pending` says how many are to come.
 */
import { setImmediate as othersTurn } from 'node:timers/promises';
import type { RecordingEntry, ResultsReading } from '../station-library.ts';
import { readResults } from '../pipeline/results.ts';
import { recordingFolder } from '../store/file-names.ts';
import { readStartFile } from '../store/recording.ts';
import type { CatalogueDatabase } from './database.ts';
import { assignedStart, editsIn } from './edits.ts';
import { createSetIndex, type SetFilter, type SetSelection, type Page } from './set-index.ts';
import { setRowOf, type SetRow } from './set-row.ts';
import { createSetStore } from './set-store.ts';

/** An hour at 1 kHz: a longer one is analysed when somebody asks for its results, not unasked. */
const MOST_UNASKED_SAMPLES = 3_600_000;

const OLDEST_FIRST: Page = {
  sort: 'startedAt',
  isDescending: false,
  limit: Infinity,
  offset: 0,
};

export interface SetQuery extends SetFilter, Page {}

export interface SetPage {
  readonly total: number;
  /** Recordings whose rows are still to be made or renewed. */
  readonly pending: number;
  readonly sets: readonly SetRow[];
  readonly facets: SetSelection['counts'];
}

export interface Sets {
  query(query: SetQuery): SetPage;
  /** Ids of all that fit, in order. */
  ids(query: SetFilter): readonly string[];
  /** Its row is to be made anew; soon. */
  renew(id: string): void;
  /** Renews what is missing or old. */
  catchUp(): Promise<void>;
  /** Resolves when nothing is pending. */
  settled(): Promise<void>;
  close(): void;
}

export interface SetsOptions {
  readonly dataFolder: string;
  readonly database: CatalogueDatabase;
  readonly library: {
    list(): Promise<readonly RecordingEntry[]>;
    entry(id: string): RecordingEntry | null;
    results(id: string): Promise<ResultsReading>;
  };
  readonly trouble: (what: string, reason: string) => void;
}

export function openSets({ dataFolder, database, library, trouble }: SetsOptions): Sets {
  const store = createSetStore(database);
  const index = createSetIndex();
  for (const { row } of store.all()) index.put(row);
  const waiting = new Set<string>();
  let underWay = 0;
  let work: Promise<void> | null = null;
  let isClosed = false;

  const make = async (id: string): Promise<void> => {
    const entry = library.entry(id);
    if (entry === null) {
      store.remove(id);
      index.remove(id);
      return;
    }
    const folder = recordingFolder(dataFolder, id);
    const edits = editsIn(folder);
    const start = readStartFile(folder);
    const stated = 'value' in start ? assignedStart(start.value, edits) : null;
    const row = setRowOf(entry, stated, edits, await resultsFor(library, entry, folder, edits.key));
    if (isClosed) return;
    store.put({ row, key: edits.itemsKey });
    index.put(row);
  };
  const workOff = async (): Promise<void> => {
    for (const id of waiting) {
      if (isClosed) return;
      await othersTurn();
      waiting.delete(id);
      underWay = 1;
      try {
        await make(id);
      } catch (error) {
        trouble('library row not made', `${id}: ${String(error)}`);
      }
      underWay = 0;
    }
  };
  const renew = (id: string): void => {
    waiting.add(id);
    work ??= workOff().finally(() => (work = null));
  };

  return {
    query({ limit, offset, sort, isDescending, ...filter }) {
      const page = { limit, offset, sort, isDescending };
      const { total, ids, counts } = index.select(filter, page);
      const sets = ids.flatMap((id) => store.get(id)?.row ?? []);
      return { total, pending: waiting.size + underWay, sets, facets: counts };
    },
    ids: (filter) => index.select(filter, OLDEST_FIRST).ids,
    renew,
    async catchUp() {
      const known = new Map(store.all().map((stored) => [stored.row.id, stored]));
      for (const entry of await library.list()) {
        const stored = known.get(entry.id);
        known.delete(entry.id);
        const isCurrent =
          stored?.row.status === entry.status &&
          stored.key === editsIn(recordingFolder(dataFolder, entry.id)).itemsKey;
        if (!isCurrent) renew(entry.id);
      }
      for (const id of known.keys()) renew(id);
    },
    async settled() {
      while (work !== null) await work;
    },
    close() {
      isClosed = true;
    },
  };
}

async function resultsFor(
  library: SetsOptions['library'],
  { id, status, samples }: RecordingEntry,
  folder: string,
  key: string,
): Promise<ResultsReading> {
  if (status === 'recording') return { problem: 'it is being recorded' };
  if (status === 'open') return { problem: 'it was left open; the next start closes it' };
  if (samples <= MOST_UNASKED_SAMPLES) return library.results(id);
  const results = await readResults(folder, key);
  return results ? { results } : { problem: 'it is long: analysed when asked for' };
}
