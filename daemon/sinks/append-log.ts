/**
 * Items on their way to numbered files, kept in memory until the disk confirmed them (fdatasync).
 * After a write error it goes on in a new file and writes again there what was not confirmed.
 * It never retries by itself and never drops: that is the recorder's decision.
 */
import { open, rm, type FileHandle } from 'node:fs/promises';
import { join } from 'node:path';
import { syncFolder } from '../platform.ts';
import { diskTrouble, errorCode } from '../store/disk-trouble.ts';

/** What one write hands to the system at most: many small items, one call. */
const MOST_BYTES_A_WRITE = 1 << 20;
/** Names already taken by an attempt that failed after creating its file are passed over. */
const MOST_FILES = 10_000;

export interface AppendLogOptions<Item> {
  readonly folder: string;
  readonly fileName: (n: number) => string;
  /** What file n begins with; called again when the file could not be begun. */
  readonly head: (n: number, first: Item) => Uint8Array;
  /** File n exists and begins with its head. */
  readonly onFile?: (n: number, first: Item) => void;
  /** The item as number k of file n; an item may be encoded again for a later file. */
  readonly encode: (item: Item, n: number, k: number) => Uint8Array;
  /** True when `next` may not stand in the file that was begun for `first`. */
  readonly needsNewFile?: (first: Item, next: Item) => boolean;
  readonly onWritten?: (item: Item, bytes: Uint8Array, n: number) => void;
  readonly onDurable?: (item: Item) => void;
}

export interface LogFile {
  readonly n: number;
  readonly name: string;
  /** A write failed: its last part stands again in the next file. */
  readonly isAbandoned: boolean;
}

interface OpenFile<Item> {
  readonly n: number;
  readonly name: string;
  readonly handle: FileHandle;
  /** The item it was begun for: those that may not stand beside it need another file. */
  readonly first: Item;
  bytes: number;
  items: number;
  /** A write stopped half-way: there may be bytes beyond `bytes`. */
  isRagged: boolean;
  isAbandoned: boolean;
}

export class AppendLog<Item> {
  readonly files: LogFile[] = [];
  readonly #options: AppendLogOptions<Item>;
  #pending: Item[] = [];
  #unsynced: Item[] = [];
  #current: OpenFile<Item> | null = null;
  #nextFile = 0;
  #writing: Promise<void> | null = null;
  #syncing: Promise<void> = Promise.resolve();

  constructor(options: AppendLogOptions<Item>) {
    this.#options = options;
  }

  push(item: Item): void {
    this.#pending.push(item);
  }

  /** What is not confirmed, oldest first. */
  get waiting(): readonly Item[] {
    return this.#unsynced.concat(this.#pending);
  }

  get oldest(): Item | undefined {
    return this.#unsynced[0] ?? this.#pending[0];
  }

  get nWaiting(): number {
    return this.#unsynced.length + this.#pending.length;
  }

  get hasPending(): boolean {
    return this.#pending.length > 0;
  }

  get hasUnsynced(): boolean {
    return this.#unsynced.length > 0;
  }

  get isDurable(): boolean {
    return this.nWaiting === 0;
  }

  /** Writes all that waits. Rejects with the disk's error and may be called again after it. */
  write(): Promise<void> {
    this.#writing ??= this.#writeNow().finally(() => {
      this.#writing = null;
    });
    return this.#writing;
  }

  async #writeNow(): Promise<void> {
    for (let first = this.#pending[0]; first !== undefined; first = this.#pending[0]) {
      const file = await this.#fileFor(first);
      try {
        await this.#writeBatch(file);
      } catch (error) {
        file.isRagged = true;
        if (!diskTrouble(error).isWorthRepeating) this.#abandon(file);
        throw error;
      }
    }
  }

  /** Confirms all that was written before the call. One at a time; later calls wait for their turn. */
  sync(): Promise<void> {
    this.#syncing = this.#syncing.catch(() => undefined).then(() => this.#syncNow());
    return this.#syncing;
  }

  /** Ends the files. What is not confirmed by then stays in `waiting`. */
  async close(): Promise<void> {
    await this.#syncing.catch(() => undefined);
    const file = this.#current;
    this.#current = null;
    if (file === null) return;
    try {
      if (file.isRagged) await file.handle.truncate(file.bytes);
    } finally {
      await file.handle.close().catch(() => undefined);
    }
  }

  async #fileFor(item: Item): Promise<OpenFile<Item>> {
    const current = this.#current;
    const needsNew = this.#options.needsNewFile;
    if (current !== null && !(needsNew?.(current.first, item) ?? false)) return current;
    if (current !== null) {
      await this.sync();
      await this.close();
    }
    return this.#create(item);
  }

  async #create(first: Item): Promise<OpenFile<Item>> {
    const { folder, fileName, head, onFile } = this.#options;
    for (; this.#nextFile < MOST_FILES; this.#nextFile += 1) {
      const n = this.#nextFile;
      const name = fileName(n);
      const path = join(folder, name);
      const handle = await open(path, 'wx', 0o600).catch((error: unknown) => {
        if (errorCode(error) === 'EEXIST') return null;
        throw error;
      });
      if (handle === null) continue;
      const bytes = head(n, first);
      try {
        const { error } = await writeSome(handle, bytes, 0);
        if (error !== null) throw error;
        await syncFolder(folder);
      } catch (error) {
        await handle.close().catch(() => undefined);
        await rm(path, { force: true }).catch(() => undefined);
        throw error;
      }
      this.#nextFile = n + 1;
      const state = { bytes: bytes.length, items: 0, isRagged: false, isAbandoned: false };
      const file: OpenFile<Item> = { n, name, handle, first, ...state };
      this.#current = file;
      this.files.push(file);
      onFile?.(n, first);
      return file;
    }
    throw new Error('this recording has too many files');
  }

  async #writeBatch(file: OpenFile<Item>): Promise<void> {
    const { encode, needsNewFile, onWritten } = this.#options;
    const batch: { item: Item; bytes: Uint8Array }[] = [];
    const itemsBefore = file.items;
    let size = 0;
    for (const item of this.#pending) {
      const isOther = needsNewFile?.(file.first, item) ?? false;
      if (isOther || (size > 0 && size >= MOST_BYTES_A_WRITE)) break;
      const bytes = encode(item, file.n, file.items + batch.length);
      batch.push({ item, bytes });
      size += bytes.length;
    }
    const { done, error } = await writeSome(file.handle, concat(batch, size), file.bytes);
    if (!file.isAbandoned) {
      // What a full disk still took counts; only the rest has to wait.
      let taken = 0;
      for (const { item, bytes } of batch) {
        if (taken + bytes.length > done) break;
        taken += bytes.length;
        this.#unsynced.push(item);
        onWritten?.(item, bytes, file.n);
        file.items += 1;
      }
      this.#pending.splice(0, file.items - itemsBefore);
      file.bytes += taken;
    }
    if (error !== null) throw error;
  }

  async #syncNow(): Promise<void> {
    const file = this.#current;
    const nItems = this.#unsynced.length;
    if (file === null || nItems === 0) return;
    try {
      await file.handle.datasync();
    } catch (error) {
      this.#abandon(file);
      throw error;
    }
    if (file.isAbandoned) return;
    for (const item of this.#unsynced.splice(0, nItems)) this.#options.onDurable?.(item);
  }

  /** After such an error nothing that was written since the last sync can be believed. */
  #abandon(file: OpenFile<Item>): void {
    if (file.isAbandoned) return;
    file.isAbandoned = true;
    if (this.#current === file) this.#current = null;
    this.#pending = this.#unsynced.concat(this.#pending);
    this.#unsynced = [];
    void file.handle.close().catch(() => undefined);
  }
}

function concat(batch: readonly { bytes: Uint8Array }[], size: number): Uint8Array {
  const [only] = batch;
  if (only !== undefined && batch.length === 1) return only.bytes;
  const all = new Uint8Array(size);
  let at = 0;
  for (const { bytes } of batch) {
    all.set(bytes, at);
    at += bytes.length;
  }
  return all;
}

/** Writes until all is written or the system refuses; tells how far it came. */
async function writeSome(
  handle: FileHandle,
  bytes: Uint8Array,
  position: number,
): Promise<{ readonly done: number; readonly error: Error | null }> {
  let done = 0;
  while (done < bytes.length) {
    try {
      const length = bytes.length - done;
      const { bytesWritten } = await handle.write(bytes, done, length, position + done);
      if (bytesWritten === 0) throw new Error('the disk took no bytes and gave no reason');
      done += bytesWritten;
    } catch (error) {
      return { done, error: error instanceof Error ? error : new Error(String(error)) };
    }
  }
  return { done, error: null };
}
