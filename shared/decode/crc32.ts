/** CRC-32 (the one of IEEE 802.3; check value CBF43926), eight bytes a step. */

/** Table k (256 entries each) answers: what does this byte do when k more bytes follow it. */
const TABLE = new Int32Array(8 * 256);
for (let byte = 0; byte < 256; byte += 1) {
  let crc = byte;
  for (let bit = 0; bit < 8; bit += 1) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  TABLE[byte] = crc;
}
for (let at = 256; at < TABLE.length; at += 1) {
  const before = TABLE[at - 256];
  TABLE[at] = (before >>> 8) ^ TABLE[before & 255];
}

/** Of bytes [first, end), as an unsigned number; 0 for none. */
export function crc32(bytes: Uint8Array, first: number, end: number): number {
  let crc = -1;
  let at = first;
  for (; at + 8 <= end; at += 8) {
    const low =
      crc ^ (bytes[at] | (bytes[at + 1] << 8) | (bytes[at + 2] << 16) | (bytes[at + 3] << 24));
    crc =
      TABLE[0x700 | (low & 255)] ^
      TABLE[0x600 | ((low >>> 8) & 255)] ^
      TABLE[0x500 | ((low >>> 16) & 255)] ^
      TABLE[0x400 | (low >>> 24)] ^
      TABLE[0x300 | bytes[at + 4]] ^
      TABLE[0x200 | bytes[at + 5]] ^
      TABLE[0x100 | bytes[at + 6]] ^
      TABLE[bytes[at + 7]];
  }
  for (; at < end; at += 1) crc = (crc >>> 8) ^ TABLE[(crc ^ bytes[at]) & 255];
  return ~crc >>> 0;
}
