/**
 * Wires: where the emulated device's bytes go out. One file a wire, listed at the bottom.
 * A wire never holds more than a bounded amount: what the far end does not take is left out whole.
 */
import type { AudienceCounts, OverrunPolicy } from './audience.ts';
import { serial } from './serial.ts';
import { tcp } from './tcp.ts';
import { ws } from './ws.ts';

export interface Wire {
  /** Where it can be reached, as a URL with the real port. */
  readonly url: string;
  /** Resolves when there is somebody to send to. */
  ready(): Promise<void>;
  /**
   * Sends whole frames to everybody who listens; `announcement` goes before them to whoever is new.
   * Resolves when there is room for more.
   */
  send(bytes: Uint8Array, announcement: () => Uint8Array): Promise<void>;
  /** Loses everybody who listens; nobody can come back before `open`. */
  shut(): Promise<void>;
  open(): Promise<void>;
  /** Waits for what is still under way, then ends for good. */
  close(): Promise<void>;
  readonly counts: AudienceCounts;
}

export interface WireKind {
  readonly id: string;
  readonly form: string;
  /** Throws a UsageError when it cannot be opened. */
  create(url: WireUrl, policy: OverrunPolicy): Promise<Wire>;
}

export interface WireUrl {
  readonly text: string;
  /** Device path or `host:port/path`. */
  readonly target: string;
  readonly options: Readonly<Record<string, string>>;
}

export const WIRES = [serial, tcp, ws] as const satisfies readonly WireKind[];
