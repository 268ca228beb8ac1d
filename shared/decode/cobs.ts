/**
 * Consistent Overhead Byte Stuffing (Cheshire & Baker 1999): bytes without 0x00, so 0x00 can end a frame.
 * The delimiter itself is not part of it. The reader takes both published forms of a 254-byte run's end.
 */

/** Zero-free form of the bytes; one byte longer for every 254 begun. */
export function cobsEncode(bytes: Uint8Array): Uint8Array {
  const out = new Uint8Array(bytes.length + Math.floor(bytes.length / 254) + 2);
  let codeAt = 0;
  let at = 1;
  for (let i = 0; i < bytes.length; i += 1) {
    if (bytes[i] !== 0) {
      out[at] = bytes[i];
      at += 1;
    }
    const isFull = at - codeAt === 255;
    if (bytes[i] === 0 || (isFull && i + 1 < bytes.length)) {
      out[codeAt] = at - codeAt;
      codeAt = at;
      at += 1;
    }
  }
  out[codeAt] = at - codeAt;
  return out.subarray(0, at);
}

/** Reads frames one by one into the same memory. */
export class CobsReader {
  /** The last frame without its stuffing: `n` bytes. */
  readonly body: Uint8Array;
  n = 0;
  /** Where its delimiter stands. */
  end = 0;

  constructor(mostBytes: number) {
    this.body = new Uint8Array(mostBytes);
  }

  /**
   * Reads the frame from `first` to the next zero byte. False when its lengths do not end there, when
   * the bytes end before, or when it is too long; then nothing is known of it.
   */
  read(bytes: Uint8Array, first: number): boolean {
    const { body } = this;
    let at = first;
    let n = 0;
    for (;;) {
      const code = bytes[at];
      const next = at + code;
      if (code === 0 || !(next < bytes.length) || n + code > body.length + 1) return false;
      for (at += 1; at < next; at += 1) {
        const byte = bytes[at];
        if (byte === 0) return false;
        body[n] = byte;
        n += 1;
      }
      if (bytes[at] === 0) break;
      if (code < 255) {
        body[n] = 0;
        n += 1;
      }
    }
    this.n = n;
    this.end = at;
    return n <= body.length;
  }
}
