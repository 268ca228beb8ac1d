/**
 * Bytes of one connection -> the decoder of their format. A format nobody stated is found from the
 * first bytes, which are then decoded like all others; until it is certain nothing is decoded.
 */
import { judge } from '../../shared/decode/detect.ts';
import {
  dialectById,
  type Decoder,
  type DecoderCounts,
  type DecoderHints,
  type DecoderSink,
} from '../../shared/decode/index.ts';
import { percentOf } from './detect.ts';

/** Seconds of a slow line; the longest packet twice fits. */
const MAX_HEARD_BYTES = 1 << 16;
/** What is looked at to say why nothing is readable. */
const MAX_UNREAD_BYTES = 4096;

export interface Listener {
  push(bytes: Uint8Array): void;
  flush(): void;
  /** Null until the format is certain. */
  readonly counts: DecoderCounts | null;
  /** Empty until it is certain. */
  readonly format: string;
  /** Why bytes arrive and nothing is read, in a sentence; empty when no bytes arrived. */
  trouble(): string;
}

export interface ListenerOptions {
  /** As stated in the URL. */
  readonly format: string | undefined;
  readonly hints: DecoderHints;
  /** What else may be wrong when the bytes are rubbish, e.g. the baud rate; empty when nothing. */
  readonly suspicion: string;
  readonly sink: DecoderSink;
}

export function createListener({ format, hints, suspicion, sink }: ListenerOptions): Listener {
  let id = format ?? '';
  let decoder = createDecoder();
  /** What the decoder itself last said of a stream that it cannot use. */
  let complaint = '';
  /** Bytes from which nothing was read yet. */
  const heard = new Uint8Array(MAX_HEARD_BYTES);
  let nHeard = 0;
  /** Looking again is worth it after a quarter more bytes. */
  let nextLook = 0;

  function createDecoder(): Decoder | null {
    const fault: DecoderSink['fault'] = (code, detail, count) => {
      if (code === 'sourceUnreadable' || code === 'headerContradiction') complaint = detail;
      sink.fault(code, detail, count);
    };
    return dialectById(id)?.create(hints, { block: (block) => sink.block(block), fault }) ?? null;
  }

  function remember(bytes: Uint8Array, room: number): void {
    const piece = bytes.subarray(-room);
    if (nHeard + piece.length > room) nHeard = 0;
    heard.set(piece, nHeard);
    nHeard += piece.length;
  }

  function find(bytes: Uint8Array): void {
    remember(bytes, MAX_HEARD_BYTES);
    if (nHeard === bytes.length) nextLook = 0;
    if (nHeard < nextLook) return;
    nextLook = 1.25 * nHeard + 64;
    const all = heard.subarray(0, nHeard);
    const { verdict } = judge(all);
    if (verdict === 'doubtful') return;
    id = verdict;
    decoder = createDecoder();
    decoder?.push(all);
  }

  return {
    push(bytes) {
      if (decoder === null) return find(bytes);
      const before = decoder.counts.samples;
      decoder.push(bytes);
      if (decoder.counts.samples === before) remember(bytes, MAX_UNREAD_BYTES);
      else nHeard = 0;
    },
    flush: () => decoder?.flush(),
    get counts() {
      return decoder?.counts ?? null;
    },
    get format() {
      return id;
    },
    trouble() {
      if (nHeard === 0) return '';
      const judgement = judge(heard.subarray(0, nHeard));
      const { verdict } = judgement;
      if (id === '') {
        const part = percentOf(judgement);
        return `Which format is it? Add format=lines or format=packets: only ${part} is readable.`;
      }
      if (complaint !== '') return `Bytes arrive as ${id}, but: ${complaint}.`;
      if (verdict === id) return `Bytes arrive as ${id}, but no samples yet.`;
      if (verdict !== 'doubtful') return `These bytes are ${verdict}, not ${id}: change format=.`;
      return `Bytes arrive, but they cannot be read as ${id}${suspicion}.`;
    },
  };
}
