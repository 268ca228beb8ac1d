/** A client of `/live` for tests: keeps what it heard, acknowledges when asked to, can stop reading. */
import WebSocket from 'ws';
import { decodeLiveBlock, type LiveBlock } from '../../shared/wire/block-codec.ts';

export interface Heard {
  readonly at_ms: number;
  readonly block?: LiveBlock;
  readonly event?: Readonly<Record<string, unknown>>;
}

export interface LiveClient {
  readonly heard: readonly Heard[];
  readonly blocks: readonly LiveBlock[];
  readonly events: readonly Readonly<Record<string, unknown>>[];
  /** Resolves with the first thing heard, past or future, that is meant. */
  when(isMeant: (heard: Heard) => boolean, patience_ms?: number): Promise<Heard>;
  /** Stops reading from the socket, so that nothing is answered either. */
  pause(): void;
  resume(): void;
  close(): void;
}

export async function openLiveClient(
  url: string,
  { path = 'live', isAcknowledging = false } = {},
): Promise<LiveClient> {
  const socket = new WebSocket(new URL(path, url).href.replace('http', 'ws'));
  socket.binaryType = 'arraybuffer';
  const heard: Heard[] = [];
  const waiting = new Set<(one: Heard) => void>();
  socket.on('message', (data) => {
    const at_ms = performance.now();
    const one: Heard =
      data instanceof ArrayBuffer
        ? { at_ms, ...decoded(data) }
        : { at_ms, event: parsed(String(data)) };
    heard.push(one);
    if (one.block && isAcknowledging) socket.send(JSON.stringify({ ack: one.block.index }));
    for (const tell of waiting) tell(one);
  });
  await new Promise((resolve, reject) => socket.once('open', resolve).once('error', reject));
  return {
    heard,
    get blocks() {
      return heard.flatMap(({ block }) => (block ? [block] : []));
    },
    get events() {
      return heard.flatMap(({ event }) => (event ? [event] : []));
    },
    when(isMeant, patience_ms = 5_000) {
      const known = heard.find(isMeant);
      if (known) return Promise.resolve(known);
      return new Promise((resolve, reject) => {
        const timer = setTimeout(() => reject(new Error('it was not heard')), patience_ms);
        const tell = (one: Heard): void => {
          if (!isMeant(one)) return;
          clearTimeout(timer);
          waiting.delete(tell);
          resolve(one);
        };
        waiting.add(tell);
      });
    },
    pause: () => socket.pause(),
    resume: () => socket.resume(),
    close: () => socket.terminate(),
  };
}

function decoded(data: ArrayBuffer): { block: LiveBlock } {
  const block = decodeLiveBlock(data);
  if (!block) throw new Error('a binary message that is no block');
  return { block };
}

function parsed(text: string): Readonly<Record<string, unknown>> {
  const value: unknown = JSON.parse(text);
  if (typeof value !== 'object' || value === null) throw new Error('an event that is no object');
  return { ...value };
}
