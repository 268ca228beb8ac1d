/** Packets give back what was encoded: any type, any values, any lengths; COBS any bytes. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { SampleType } from '../../shared/block/block.ts';
import { cobsEncode, CobsReader } from '../../shared/decode/cobs.ts';
import { createPacketEncoder } from '../../shared/encode/packets.ts';
import { formatOf, hear } from '../support/wire.ts';

const VALUES: Readonly<Record<SampleType, fc.Arbitrary<number>>> = {
  int16: fc.integer({ min: -32768, max: 32767 }),
  int24: fc.integer({ min: -(2 ** 23), max: 2 ** 23 - 1 }),
  float32: fc.float({ noDefaultInfinity: true }),
  float64: fc.double({ noDefaultInfinity: true }),
};

describe('packets', () => {
  test.each(['int16', 'int24', 'float32', 'float64'] as const)(
    '%s comes back bit for bit',
    (type) => {
      const column = fc.array(VALUES[type], { minLength: 7, maxLength: 7 });
      const some = fc.array(column, { minLength: 1, maxLength: 16 });
      fc.assert(
        fc.property(some, fc.nat(2 ** 32 - 1), (columns, first) => {
          const encoder = createPacketEncoder(formatOf(type, columns.length));
          const heard = hear('packets', [
            encoder.description(),
            encoder.samples(first, 7, columns),
          ]);
          const wanted = Array.from({ length: 7 }, (_, i) => [
            0,
            first + i,
            ...columns.map((c) => c[i]),
          ]);
          expect(heard.rows).toEqual(wanted);
          expect(heard.blocks[0]?.format.channels[0]?.type).toBe(type);
        }),
        { numRuns: 60 },
      );
    },
  );

  test('COBS holds no zero and comes back', () => {
    const bytes = fc.uint8Array({ maxLength: 700 }).map((b) => b.map((v) => (v % 7 === 0 ? 0 : v)));
    fc.assert(
      fc.property(fc.oneof(bytes, fc.uint8Array({ min: 1, maxLength: 700 })), (plain) => {
        const encoded = cobsEncode(plain);
        expect(encoded.includes(0)).toBe(false);
        expect(encoded.length).toBeLessThanOrEqual(
          plain.length + Math.ceil(plain.length / 254) + 1,
        );
        const reader = new CobsReader(plain.length);
        expect(reader.read(Uint8Array.from([...encoded, 0]), 0)).toBe(true);
        expect(reader.body.subarray(0, reader.n)).toEqual(plain);
      }),
      { numRuns: 300 },
    );
  });
});
