/**
 * Consistent Overhead Byte Stuffing (Cheshire & Baker 1999): bytes without 0x00, so 0x00 can end a frame.
 * The delimiter itself is not part of it. The decoder takes both published forms of a 254-byte run's end.
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

/**
 * Writes the bytes that [first, end) stands for to the start of `out` and returns how many they are;
 * -1 when it is cut, contains a zero, or does not fit into `out`.
 */
export function cobsDecode(bytes: Uint8Array, first: number, end: number, out: Uint8Array): number {
  let at = first;
  let n = 0;
  while (at < end) {
    const code = bytes[at];
    const next = at + code;
    if (code === 0 || next > end || n + code > out.length + 1) return -1;
    for (at += 1; at < next; at += 1) {
      out[n] = bytes[at];
      n += 1;
    }
    if (code !== 255 && at < end) {
      if (n === out.length) return -1;
      out[n] = 0;
      n += 1;
    }
  }
  return n;
}
