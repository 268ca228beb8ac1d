/**
 * Cuts a byte stream at a delimiter, however the bytes arrive, in bounded memory.
 * A frame whole within one push is handed on where it lies; only a cut one is copied.
 */

export interface SplitSink {
  /**
   * A frame begins at `first`: reads whole sound frames from there on, as many as it likes in its own
   * quick way, and returns where the next one begins. The rest comes through `frame`.
   */
  quick?(bytes: Uint8Array, first: number): number;
  /** Bytes [first, end) between two delimiters, may be empty; one stands at `end`; read at once. */
  frame(bytes: Uint8Array, first: number, end: number): void;
  /** A frame is longer than the limit: called once for it, then `skip` for all its bytes. */
  tooLong(): void;
  skip(nBytes: number): void;
}

export function createSplitter(
  delimiter: number,
  maxBytes: number,
  sink: SplitSink,
): (bytes: Uint8Array) => void {
  const pending = new Uint8Array(maxBytes + 1);
  let nPending = 0;
  let isSkipping = false;

  /** Takes a piece of a frame that is not whole in this push. */
  function keep(bytes: Uint8Array, first: number, end: number): void {
    if (!isSkipping && nPending + end - first > maxBytes) {
      isSkipping = true;
      sink.tooLong();
      sink.skip(nPending);
      nPending = 0;
    }
    if (isSkipping) {
      sink.skip(end - first);
    } else {
      for (let at = first; at < end; at += 1) pending[nPending + at - first] = bytes[at];
      nPending += end - first;
    }
  }

  return (bytes) => {
    let first = 0;
    while (first < bytes.length) {
      const isBetween = nPending === 0 && !isSkipping;
      if (isBetween && sink.quick) first = sink.quick(bytes, first);
      let end = first;
      while (end < bytes.length && bytes[end] !== delimiter) end += 1;
      if (end === bytes.length) return keep(bytes, first, end);
      if (isBetween && end - first <= maxBytes) {
        sink.frame(bytes, first, end);
      } else {
        keep(bytes, first, end);
        const n = nPending;
        nPending = 0;
        pending[n] = delimiter;
        if (!isSkipping) sink.frame(pending, 0, n);
        isSkipping = false;
      }
      first = end + 1;
    }
  };
}
