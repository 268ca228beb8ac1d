/**
 * A serial line bit by bit: what a receiver at one baud rate makes of bytes sent at another.
 * 8 data bits, no parity, 1 stop bit, least significant bit first (common practice, no source).
 */

/** What a driver gives for a byte without a stop bit. */
export type FramingError = 'dropped' | 'kept' | 'zero';

export interface LineSettings {
  readonly sentAt_Bd: number;
  readonly readAt_Bd: number;
  readonly framingError: FramingError;
  /** Idle bits after each piece, as a device that waits for its next sample leaves them. */
  readonly idleBits: number;
}

/** The line's level for each bit sent: 1 is idle. */
function levelsOf(pieces: readonly Uint8Array[], idleBits: number): Uint8Array {
  const nBytes = pieces.reduce((sum, piece) => sum + piece.length, 0);
  const levels = new Uint8Array(10 * nBytes + idleBits * (pieces.length + 1)).fill(1);
  let at = idleBits;
  for (const piece of pieces) {
    for (const byte of piece) {
      levels[at] = 0;
      for (let bit = 0; bit < 8; bit += 1) levels[at + 1 + bit] = (byte >> bit) & 1;
      at += 10;
    }
    at += idleBits;
  }
  return levels;
}

export function reframe(pieces: readonly Uint8Array[], settings: LineSettings): Uint8Array {
  const { sentAt_Bd, readAt_Bd, framingError, idleBits } = settings;
  const levels = levelsOf(pieces, idleBits);
  /** Sent bits in a read bit. */
  const ratio = sentAt_Bd / readAt_Bd;
  const level = (time: number): number => levels[Math.floor(time)] ?? 1;
  const read: number[] = [];
  let time = 0;
  while (time < levels.length) {
    // The start bit is a fall of the line.
    while (time < levels.length && level(time) === 0) time = Math.floor(time) + 1;
    while (time < levels.length && level(time) === 1) time = Math.floor(time) + 1;
    if (time >= levels.length) break;
    let byte = 0;
    for (let bit = 0; bit < 8; bit += 1) byte |= level(time + (1.5 + bit) * ratio) << bit;
    const hasStop = level(time + 9.5 * ratio) === 1;
    if (hasStop || framingError === 'kept') read.push(byte);
    else if (framingError === 'zero') read.push(0);
    time += 9.5 * ratio;
  }
  return Uint8Array.from(read);
}
