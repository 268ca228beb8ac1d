/** The golden bytes were made with Python's `struct` and `zlib` from the box table alone. */
import { crc32 } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import type { StreamBlock } from '../../../shared/block/block.ts';
import {
  AFTER_HOLE,
  HAS_HOLES,
  readHead,
  stampPlace,
  troubleOf,
  unpackBlock,
} from '../../../shared/record/block-codec.ts';
import { blockLayout } from '../../../shared/record/layout.ts';
import { createPacker, storedTypes, type PackedBlock } from '../../../shared/record/packer.ts';
import { formatOf } from '../../support/recordings.ts';

const FORMAT = formatOf(['int16', 'int24', 'float32'], 50);
const LAYOUT = blockLayout(FORMAT);
const PLACE = { nonce: 0x01020304, sequence: 7 };
const GOLDEN =
  '4d424c4b040302010700000000000000050000000100000079df0d8648700000150000000000000002000000' +
  '03000300a67ed5cd3f1652420b00000000000000feff2c01000000800000000000000000ffffffffff7f0000' +
  '000000800000000000000000000000000000003f0000a0bf0000000000004040000000000000000000000000' +
  '00000000';

function part(index: number, columns: readonly number[][]): StreamBlock {
  return {
    format: FORMAT,
    run: 2,
    first: index - 4294967301 + 21,
    index,
    n: columns[0]?.length ?? 0,
    columns: columns.map((column) => Float64Array.from(column)),
    arrival_ns: 123456789012345,
  };
}

function packed(): PackedBlock {
  const blocks: PackedBlock[] = [];
  const packer = createPacker(LAYOUT, crc32, (block) => blocks.push(block));
  packer.add(part(4294967000, [[1], [1], [1]]));
  packer.add(
    part(4294967301, [
      [-2, 300],
      [-1, 8388607],
      [0.5, -1.25],
    ]),
  );
  packer.add(part(4294967304, [[-32768], [-8388608], [3]]));
  packer.flush();
  const second = blocks[1];
  if (second === undefined) throw new Error('two blocks were packed');
  stampPlace(second.bytes, PLACE, crc32);
  return second;
}

describe('block', () => {
  test('is these bytes for ever', () => {
    expect(Buffer.from(packed().bytes).toString('hex')).toBe(GOLDEN);
  });

  test('reads what the bytes say', () => {
    const bytes = Buffer.from(GOLDEN, 'hex');
    expect(troubleOf(bytes, LAYOUT, PLACE, crc32)).toBeNull();
    const head = readHead(bytes);
    expect(head).toEqual({
      index: 4294967301,
      arrival_ns: 123456789012345,
      deviceFirst: 21,
      run: 2,
      n: 3,
      flags: HAS_HOLES | AFTER_HOLE,
    });
    const blocks = unpackBlock(bytes, head, LAYOUT, FORMAT);
    expect(blocks.map(({ index, first, n }) => [index, first, n])).toEqual([
      [4294967301, 21, 2],
      [4294967304, 24, 1],
    ]);
    expect(blocks.map(({ columns }) => columns.map((column) => [...column]))).toEqual([
      [
        [-2, 300],
        [-1, 8388607],
        [0.5, -1.25],
      ],
      [[-32768], [-8388608], [3]],
    ]);
  });

  test('every changed bit is noticed', () => {
    const bytes = Buffer.from(GOLDEN, 'hex');
    const unnoticed: number[] = [];
    for (let bit = 0; bit < bytes.length * 8; bit += 1) {
      bytes[bit >> 3] = (bytes[bit >> 3] ?? 0) ^ (1 << (bit & 7));
      if (troubleOf(bytes, LAYOUT, PLACE, crc32) === null) unnoticed.push(bit);
      bytes[bit >> 3] = (bytes[bit >> 3] ?? 0) ^ (1 << (bit & 7));
    }
    expect(unnoticed).toEqual([]);
  });

  test('says what is wrong', () => {
    const golden = Buffer.from(GOLDEN, 'hex');
    const trouble = (bytes: Uint8Array, place = PLACE) => troubleOf(bytes, LAYOUT, place, crc32);
    expect(trouble(golden.subarray(0, 135))).toBe('cutShort');
    expect(trouble(new Uint8Array())).toBe('cutShort');
    expect(trouble(new Uint8Array(136))).toBe('zeros');
    expect(trouble(golden, { ...PLACE, nonce: 5 })).toBe('place');
    expect(trouble(golden, { ...PLACE, sequence: 8 })).toBe('place');
    const changed = (at: number) => golden.map((byte, k) => (k === at ? byte ^ 1 : byte));
    expect(trouble(changed(16))).toBe('head');
    expect(trouble(changed(100))).toBe('payload');
  });
});

describe('stored types', () => {
  const one = (value: number) => ({
    ...part(0, [[value], [value], [value]]),
    n: 1,
  });

  test('are the device own where every value fits', () => {
    const types = ['int16', 'int24', 'float32'] as const;
    for (const value of [0, 1, -1, 32767, -32768]) {
      expect(storedTypes(one(value), types)).toBe(types);
    }
  });

  test('are float64 where one does not', () => {
    const types = ['int16', 'int24', 'float32'] as const;
    expect(storedTypes(one(32768), types)).toEqual(['float64', 'int24', 'float32']);
    expect(storedTypes(one(8388608), types)).toEqual(['float64', 'float64', 'float32']);
    expect(storedTypes(one(Number.NaN), types)).toEqual(['float64', 'float64', 'float32']);
    expect(storedTypes(one(-0), types)).toEqual(['float64', 'float64', 'float32']);
    expect(storedTypes(one(0.1), types)).toEqual(['float64', 'float64', 'float64']);
    expect(storedTypes(one(Infinity), types)).toEqual(['float64', 'float64', 'float32']);
  });
});
