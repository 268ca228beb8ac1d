/** CRC-32 against the public catalogue of CRCs (its check value) and against zlib. */
import { crc32 as zlibCrc32 } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { crc32 } from '../../shared/decode/crc32.ts';
import { seeded } from '../support/random-stream.ts';

const of = (text: string): number => {
  const bytes = new TextEncoder().encode(text);
  return crc32(bytes, 0, bytes.length);
};

describe('CRC-32', () => {
  test('has the check value of the catalogue', () => {
    expect(of('123456789')).toBe(0xcbf43926);
    expect(of('Hello, world!')).toBe(0xebe6c6e6);
    expect(of('')).toBe(0);
  });

  test('agrees with zlib at every length and offset', () => {
    const random = seeded(3);
    const bytes = Uint8Array.from({ length: 300 }, () => Math.floor(random() * 256));
    for (let end = 0; end <= bytes.length; end += 1) {
      const first = end % 9 > end ? 0 : end % 9;
      expect(crc32(bytes, first, end)).toBe(zlibCrc32(bytes.subarray(first, end)));
    }
  });
});
