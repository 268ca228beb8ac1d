/** The golden text was made with Python's `json` and `zlib` by the rule alone. */
import { crc32 } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import {
  openDocument,
  openLine,
  sealDocument,
  sealLine,
} from '../../../shared/record/sealed-json.ts';

const LINE = String.raw`{"a":1,"text":"\u00b5 \"crc32\"","crc32":"5df97a70"}`.concat('\n');
const DOCUMENT = String.raw`{
  "a": 1,
  "text": "\u00b5 \"crc32\"",
  "crc32": "76c09b5a"
}`.concat('\n');
const OBJECT = { a: 1, text: 'µ "crc32"' };

describe('sealed JSON', () => {
  test('is this text for ever', () => {
    expect(Buffer.from(sealLine(OBJECT, crc32)).toString('latin1')).toBe(LINE);
    expect(Buffer.from(sealDocument(OBJECT, crc32)).toString('latin1')).toBe(DOCUMENT);
  });

  test('gives back what was sealed', () => {
    expect(openLine(Buffer.from(LINE), crc32)).toEqual(OBJECT);
    expect(openDocument(Buffer.from(DOCUMENT), crc32)).toEqual(OBJECT);
    expect(JSON.parse(DOCUMENT)).toMatchObject(OBJECT);
  });

  test('notices every changed bit and every missing or added byte', () => {
    for (const [text, open] of [[LINE, openLine] as const, [DOCUMENT, openDocument] as const]) {
      const bytes = Buffer.from(text);
      for (let bit = 0; bit < bytes.length * 8; bit += 1) {
        const changed = Uint8Array.from(bytes);
        changed[bit >> 3] = (changed[bit >> 3] ?? 0) ^ (1 << (bit & 7));
        expect(open(changed, crc32)).toBeNull();
      }
      for (let length = 0; length < bytes.length; length += 1) {
        expect(open(bytes.subarray(0, length), crc32)).toBeNull();
      }
      expect(open(Buffer.concat([bytes, Buffer.from('\n')]), crc32)).toBeNull();
    }
  });
});
