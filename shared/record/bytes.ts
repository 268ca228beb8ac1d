/** Small pieces that all files of a recording share: checksums, 64-bit numbers, JSON in ASCII. */

/** CRC-32 of ISO 3309 (zlib's): check value CBF43926 for `123456789`. Handed in by whoever has a fast one. */
export type Crc32 = (bytes: Uint8Array) => number;

const TWO_32 = 2 ** 32;

/** Integers between -2^53 and 2^53 as 64 bits, little-endian. */
export function setI64(view: DataView, offset: number, value: number): void {
  view.setUint32(offset, value % TWO_32, true);
  view.setUint32(offset + 4, Math.floor(value / TWO_32), true);
}

export function getI64(view: DataView, offset: number): number {
  return view.getInt32(offset + 4, true) * TWO_32 + view.getUint32(offset, true);
}

export function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

/** JSON with everything beyond ASCII escaped, so that a byte is a character whoever reads it. */
export function asciiJson(value: unknown, indent?: number): string {
  return JSON.stringify(value, null, indent).replace(
    /[\u007f-\uffff]/g,
    (unit) => `\\u${unit.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}
