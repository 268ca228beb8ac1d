/**
 * Everybody who listens to the emulated device, and what each still has to take. One that does not
 * take is left out a whole piece at a time, or waited for; it never grows the memory.
 */
import { setTimeout as sleep } from 'node:timers/promises';

/** One connection. */
export interface Listener {
  write(bytes: Uint8Array): void;
  /** Bytes that it was given and the operating system does not have yet. */
  queuedBytes(): number;
  /** Ends it at once. */
  end(): void;
}

/** `wait` slows the device down to the far end, `leave out` keeps the pace. */
export type OverrunPolicy = 'wait' | 'leave out';

export interface AudienceCounts {
  /** Connections since the start. */
  readonly connections: number;
  readonly bytes: number;
  /** Bytes that were left out because the far end did not take others in time. */
  readonly overrunBytes: number;
}

export interface Audience {
  readonly counts: AudienceCounts;
  add(listener: Listener): void;
  remove(listener: Listener): void;
  /** Resolves when there is at least one listener. */
  ready(): Promise<void>;
  send(bytes: Uint8Array, announcement: () => Uint8Array): Promise<void>;
  /** Resolves when all has been taken, or after a second. */
  flush(): Promise<void>;
  endAll(): void;
}

/** A second of the fastest device: 10 kHz, 4 channels of text. */
const MOST_QUEUED_BYTES = 1 << 20;
/** Above this `wait` waits: enough to keep any link busy. */
const ROOM_BYTES = 1 << 16;
const POLL_MS = 1;
const FLUSH_MS = 1000;

export function createAudience(policy: OverrunPolicy): Audience {
  const listeners = new Set<Listener>();
  const unannounced = new Set<Listener>();
  const counts = { connections: 0, bytes: 0, overrunBytes: 0 };
  let onFirst: (() => void)[] = [];
  const isFull = (most: number) => [...listeners].some((each) => each.queuedBytes() > most);

  const write = (listener: Listener, bytes: Uint8Array) => {
    if (listener.queuedBytes() + bytes.length > MOST_QUEUED_BYTES) {
      counts.overrunBytes += bytes.length;
      return;
    }
    counts.bytes += bytes.length;
    listener.write(bytes);
  };

  return {
    counts,
    add(listener) {
      counts.connections += 1;
      listeners.add(listener);
      unannounced.add(listener);
      for (const resolve of onFirst.splice(0)) resolve();
    },
    remove(listener) {
      listeners.delete(listener);
      unannounced.delete(listener);
    },
    ready() {
      if (listeners.size > 0) return Promise.resolve();
      return new Promise((resolve) => (onFirst = [...onFirst, resolve]));
    },
    async send(bytes, announcement) {
      for (const listener of listeners) {
        if (unannounced.delete(listener)) write(listener, announcement());
        write(listener, bytes);
      }
      while (policy === 'wait' && isFull(ROOM_BYTES)) await sleep(POLL_MS);
    },
    async flush() {
      for (let waited = 0; isFull(0) && waited < FLUSH_MS; waited += POLL_MS) await sleep(POLL_MS);
    },
    endAll() {
      for (const listener of listeners) listener.end();
      listeners.clear();
      unannounced.clear();
    },
  };
}
