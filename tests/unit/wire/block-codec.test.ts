/** The binary block of `/live`: the very bytes of the table above the encoder, and what is refused. */
import { describe, expect, it } from 'vitest';
import { decodeLiveBlock, encodeLiveBlock } from '../../../shared/wire/block-codec.ts';

const BLOCK = {
  index: 1000,
  n: 2,
  rate_Hz: 500,
  arrival_ms: 12.5,
  afterGap: true,
  columns: [Float64Array.of(1, -2), Float64Array.of(0.5, NaN)],
};

// IEEE 754 patterns worked out by hand from the standard: 1000 is 408f4000 00000000 and so on.
const GOLDEN =
  '01 01 02 01 0200 0100 0000000000408f40 0000000000407f40 0000000000002940' +
  ' 0000803f 000000c0 0000003f 0000c07f';

describe('live block', () => {
  it('has the bytes of the table', () => {
    expect(Buffer.from(encodeLiveBlock(BLOCK)).toString('hex')).toBe(GOLDEN.replaceAll(' ', ''));
  });

  it('is read back as it was', () => {
    const read = decodeLiveBlock(encodeLiveBlock({ ...BLOCK, step: 5 }).buffer);
    expect(read).toEqual({
      ...BLOCK,
      step: 5,
      columns: [Float32Array.of(1, -2), Float32Array.of(0.5, NaN)],
    });
  });

  it.each([
    ['shorter than its header', (bytes: Uint8Array) => bytes.slice(0, 31)],
    ['cut', (bytes: Uint8Array) => bytes.slice(0, -4)],
    ['too long', (bytes: Uint8Array) => Uint8Array.of(...bytes, 0, 0, 0, 0)],
    ['of another kind', (bytes: Uint8Array) => bytes.with(0, 2)],
    ['of a later version', (bytes: Uint8Array) => bytes.with(1, 2)],
    ['without a step', (bytes: Uint8Array) => bytes.with(6, 0)],
  ])('is refused when %s', (_, damage) => {
    expect(decodeLiveBlock(damage(encodeLiveBlock(BLOCK)).slice().buffer)).toBeNull();
  });
});
