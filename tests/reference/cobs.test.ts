/**
 * COBS against published vectors: the examples table of the encoding's public description (Cheshire &
 * Baker 1999; rows as collected in encyclopaedias). The decoder takes both forms of a 254-byte end.
 */
import { describe, expect, test } from 'vitest';
import { cobsEncode, CobsReader } from '../../shared/decode/cobs.ts';

const range = (first: number, last: number): number[] =>
  Array.from({ length: last - first + 1 }, (_, i) => first + i);

const VECTORS: readonly (readonly [name: string, plain: number[], encoded: number[]])[] = [
  ['nothing', [], [0x01]],
  ['00', [0x00], [0x01, 0x01]],
  ['00 00', [0x00, 0x00], [0x01, 0x01, 0x01]],
  ['00 11 00', [0x00, 0x11, 0x00], [0x01, 0x02, 0x11, 0x01]],
  ['11 22 00 33', [0x11, 0x22, 0x00, 0x33], [0x03, 0x11, 0x22, 0x02, 0x33]],
  ['11 22 33 44', [0x11, 0x22, 0x33, 0x44], [0x05, 0x11, 0x22, 0x33, 0x44]],
  ['11 00 00 00', [0x11, 0x00, 0x00, 0x00], [0x02, 0x11, 0x01, 0x01, 0x01]],
  ['01..FE', range(1, 0xfe), [0xff, ...range(1, 0xfe)]],
  ['00 01..FE', range(0, 0xfe), [0x01, 0xff, ...range(1, 0xfe)]],
  ['01..FF', range(1, 0xff), [0xff, ...range(1, 0xfe), 0x02, 0xff]],
  ['02..FF 00', [...range(2, 0xff), 0], [0xff, ...range(2, 0xff), 0x01, 0x01]],
  ['03..FF 00 01', [...range(3, 0xff), 0, 1], [0xfe, ...range(3, 0xff), 0x02, 0x01]],
];

function decoded(encoded: readonly number[], room = 1000): number[] | null {
  const reader = new CobsReader(room);
  const isRead = reader.read(Uint8Array.from([...encoded, 0]), 0);
  return isRead && reader.end === encoded.length ? [...reader.body.subarray(0, reader.n)] : null;
}

describe('COBS', () => {
  test.each(VECTORS)('%s', (_name, plain, encoded) => {
    expect([...cobsEncode(Uint8Array.from(plain))]).toEqual(encoded);
    expect(decoded(encoded)).toEqual(plain);
  });

  test('takes the longer form of exactly 254 bytes that other encoders write', () => {
    expect(decoded([0xff, ...range(1, 0xfe), 0x01])).toEqual(range(1, 0xfe));
  });

  test('refuses what is cut, holds a zero, or has no room', () => {
    expect(decoded([0x05, 0x11, 0x22])).toBeNull();
    expect(decoded([0x00])).toBeNull();
    expect(decoded([0x05, 0x11, 0x22, 0x33, 0x44], 3)).toBeNull();
    expect(decoded([0x04, 0x11, 0x22, 0x33, 0x01, 0x01], 3)).toBeNull();
    expect(decoded([0x04, 0x11, 0x22, 0x33], 3)).toEqual([0x11, 0x22, 0x33]);
  });
});
