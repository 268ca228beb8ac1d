/** Opens a source, and opens it again whenever it ends, for ever: a missing device is only waited for. */
import type { Source, SourceUrl } from './index.ts';

/** The first retry is at once for the eye; a missing device is then looked for every second. */
const RETRY_AFTER_ms = [200, 500, 1000];

export interface ConnectionEvents {
  /** An attempt begins. */
  trying(): void;
  /** It succeeded; before the first byte. */
  opened(): void;
  bytes(bytes: Uint8Array, arrival_ns: number): void;
  /** It did not succeed, for this reason in words. */
  failed(reason: string): void;
  /** The open connection ended. Says whether it was good for anything. */
  ended(reason: string): { readonly wasUseful: boolean };
}

export interface Keeper {
  /** Ends the present connection, so that a new one is opened. */
  reopen(reason: string): void;
  /** Resolves after `signal` was aborted and everything is closed. */
  readonly ended: Promise<void>;
}

export function keepConnected(
  source: Source,
  url: SourceUrl,
  events: ConnectionEvents,
  signal: AbortSignal,
): Keeper {
  let reopen: (reason: string) => void = () => undefined;

  /** One connection from its opening to its end; true when it was useful. */
  async function connectOnce(): Promise<boolean> {
    const attempt: { phase: 'opening' | 'open' | 'over' } = { phase: 'opening' };
    const isOpen = (): boolean => {
      if (attempt.phase === 'opening' && !signal.aborted) {
        attempt.phase = 'open';
        events.opened();
      }
      return attempt.phase === 'open';
    };
    const sink = {
      bytes(bytes: Uint8Array, arrival_ns: number): void {
        if (isOpen()) events.bytes(bytes, arrival_ns);
      },
    };
    const reopened = new Promise<string>((resolve) => (reopen = resolve));
    events.trying();
    try {
      const connection = await source.open(url, sink, signal);
      isOpen();
      const reason = await Promise.race([connection.closed, reopened]);
      await connection.close();
      attempt.phase = 'over';
      return events.ended(reason).wasUseful;
    } catch (error) {
      const reason = error instanceof Error ? error.message : String(error);
      const wasOpen = attempt.phase === 'open';
      attempt.phase = 'over';
      if (wasOpen) return events.ended(reason).wasUseful;
      if (!signal.aborted) events.failed(reason);
      return false;
    }
  }

  async function run(): Promise<void> {
    let nUseless = 0;
    while (!signal.aborted) {
      nUseless = (await connectOnce()) ? 0 : nUseless + 1;
      const k = Math.min(Math.max(0, nUseless - 1), RETRY_AFTER_ms.length - 1);
      await pause(RETRY_AFTER_ms[k], signal);
    }
  }

  signal.addEventListener('abort', () => reopen('closed'), { once: true });
  return { reopen: (reason) => reopen(reason), ended: run() };
}

/** Shorter when aborted. */
function pause(wait_ms: number, signal: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    if (signal.aborted) return resolve();
    const timer = setTimeout(end, wait_ms);
    signal.addEventListener('abort', end, { once: true });
    function end(): void {
      clearTimeout(timer);
      signal.removeEventListener('abort', end);
      resolve();
    }
  });
}
