/**
 * WebSocket frames made once and shared by all clients (RFC 6455, section 5.2): from the server,
 * unmasked, whole, uncompressed. Reading and masking stay with the library.
 *
 * | offset | bytes    | what                                                          |
 * |--------|----------|---------------------------------------------------------------|
 * | 0      | 1        | 0x80 (last of its message) + 1 text, 2 binary                  |
 * | 1      | 1        | length up to 125, or 126: u16 follows, or 127: u64 follows     |
 * | 2      | 0, 2, 8  | length, big-endian                                            |
 * | ...    | length   | payload                                                       |
 */
import {
  liveBlockBytes,
  type LiveBlockSource,
  writeLiveBlock,
} from '../../shared/wire/block-codec.ts';

const FINAL = 0x80;
const TEXT = 1;
const BINARY = 2;

export function textFrame(text: string): Buffer {
  const length = Buffer.byteLength(text);
  const { frame, start } = emptyFrame(TEXT, length);
  frame.write(text, start);
  return frame;
}

export function blockFrame(block: LiveBlockSource): Buffer {
  const { frame, start } = emptyFrame(BINARY, liveBlockBytes(block.n, block.columns.length));
  writeLiveBlock(block, frame.subarray(start));
  return frame;
}

function emptyFrame(opcode: number, length: number): { frame: Buffer; start: number } {
  const start = length < 126 ? 2 : length < 65_536 ? 4 : 10;
  const frame = Buffer.allocUnsafeSlow(start + length);
  frame[0] = FINAL | opcode;
  frame[1] = start === 2 ? length : start === 4 ? 126 : 127;
  if (start === 4) frame.writeUInt16BE(length, 2);
  if (start === 10) frame.writeBigUInt64BE(BigInt(length), 2);
  return { frame, start };
}
