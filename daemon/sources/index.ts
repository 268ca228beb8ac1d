/**
 * Sources: where bytes come from. One file a source, listed at the bottom.
 * A source never throws for trouble in the world: it reports it and `supervise` opens it again.
 */
import type { Wiring } from '../../shared/wiring/schema.ts';
import { demo } from './demo.ts';
import { replay } from './replay.ts';
import { serial } from './serial.ts';
import { tcp } from './tcp.ts';
import { ws } from './ws.ts';

/** One attempt to be connected, from open to close. */
export interface Connection {
  /** Resolves when the connection ended by itself or by `close`, with the reason in words. */
  readonly closed: Promise<string>;
  /** Ends it; may be called twice. */
  close(): Promise<void>;
}

/** Where a connection delivers. Bytes for wires; they are read before the call returns. */
export interface SourceSink {
  bytes(bytes: Uint8Array, arrival_ns: number): void;
}

export interface Source {
  readonly id: string;
  /** The URL's form, for `--help` and README, e.g. `serial:/dev/ttyUSB0?baud=921600&format=lines`. */
  readonly form: string;
  readonly about: string;
  /** Throws a UsageError for words in the URL that cannot be used; nothing is opened. */
  check?(url: SourceUrl): void;
  /** The wiring that belongs to what the URL sends, where the source itself knows it. */
  wiring?(url: SourceUrl): Wiring | null;
  /** Rejects with an Error whose message is one plain sentence when it cannot be opened. */
  open(url: SourceUrl, sink: SourceSink, signal: AbortSignal): Promise<Connection>;
}

/** A parsed `--source`. */
export interface SourceUrl {
  readonly id: string;
  /** Device path, `host:port`, recording id; empty for `demo:`. */
  readonly target: string;
  readonly options: Readonly<Record<string, string>>;
  /** As typed. */
  readonly text: string;
}

export const SOURCES = [demo, serial, tcp, ws, replay] as const satisfies readonly Source[];

/** Undefined when there is none of that name. */
export function sourceById(id: string): Source | undefined {
  return SOURCES.find((source) => source.id === id);
}
