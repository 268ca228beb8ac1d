/**
 * The bytes of packets, fixed for ever. The expected ones were computed by hand in Python with zlib and
 * struct, along the box table above the encoder.
 */
import { describe, expect, test } from 'vitest';
import type { StreamFormat } from '../../../shared/block/block.ts';
import { createPacketEncoder } from '../../../shared/encode/packets.ts';
import { formatOf } from '../../support/wire.ts';

const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex');

const format: StreamFormat = {
  rate_Hz: 1000,
  channels: [
    {
      name: 'torque',
      unit: 'counts',
      type: 'int16',
      scale: { unit: 'V', slope: 0.5, offset: -1 },
      rawMin: -2048,
      rawMax: 2047,
    },
    { name: 'angle', unit: 'deg', type: 'int16' },
  ],
  integrity: 'crc32',
  notes: { firmware: '1.2' },
};

const GOLDEN_DESCRIPTION =
  'c9447b22726174655f487a223a313030302c227469636b5f487a223a313030303030302c22747970' +
  '65223a22696e743136222c226368616e6e656c73223a5b7b226e616d65223a22746f72717565222c' +
  '22756e6974223a2256222c22736c6f7065223a302e352c226f6666736574223a2d312c226d696e22' +
  '3a2d323034382c226d6178223a323034377d2c7b226e616d65223a22616e676c65222c22756e6974' +
  '223a22646567227d5d2c226e6f746573223a7b226669726d77617265223a22312e32227d7d61eeb1' +
  '8600';

const GOLDEN_SAMPLES = '145302010261eeb186faffffff90e8ffffffff010b2c01feffff7f513f5f0800';

const GOLDEN_NEXT = '115302010161eeb186fcffffff60f0ffff010101010680b4637c0700';

const GOLDEN_INT24 = '0953010203996485e601010101010101010102010104ffffff010680b8a3208000';

describe('golden bytes', () => {
  test('description', () => {
    expect(hex(createPacketEncoder(format).description())).toBe(GOLDEN_DESCRIPTION);
  });

  test('samples', () => {
    const encoder = createPacketEncoder(format, { tick_Hz: 1e6, sequence: 65_535 });
    const first = encoder.samples(4_294_967_290, 2, [
      [1, -2],
      [300, 32_767],
    ]);
    const second = encoder.samples(4_294_967_292, 1, [[0], [-32_768]]);
    expect(hex(first)).toBe(GOLDEN_SAMPLES);
    expect(hex(second)).toBe(GOLDEN_NEXT);
  });

  test('int24', () => {
    const encoder = createPacketEncoder(formatOf('int24', 1));
    expect(hex(encoder.samples(0, 3, [[1, -1, -8_388_608]]))).toBe(GOLDEN_INT24);
  });
});

describe('what cannot be sent', () => {
  test('is refused, or held to the range', () => {
    const encoder = createPacketEncoder(formatOf('int16', 1));
    expect(() => encoder.samples(0, 1, [[Number.NaN]])).toThrow(RangeError);
    expect(() => encoder.samples(0, 0, [[]])).toThrow(RangeError);
    expect(() => encoder.samples(0, 256, [new Float64Array(256)])).toThrow(RangeError);
    expect(() => createPacketEncoder(formatOf('int16', 17))).toThrow(RangeError);
    expect(() => createPacketEncoder(formatOf('int16', 0))).toThrow(RangeError);
    expect(encoder.samples(0, 2, [[1e9, -Infinity]])).toEqual(
      createPacketEncoder(formatOf('int16', 1)).samples(0, 2, [[32_767, -32_768]]),
    );
  });
});
