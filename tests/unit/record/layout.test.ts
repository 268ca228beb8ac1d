import { describe, expect, test } from 'vitest';
import { blockCapacity, blockLayout, bytesPerSecond } from '../../../shared/record/layout.ts';
import { formatOf } from '../../support/recordings.ts';

describe('block layout', () => {
  test('holds at most 100 ms, in eights', () => {
    expect([50, 80, 1000, 4999, 5000, 10_000].map((rate) => blockCapacity(rate))).toEqual([
      8, 8, 96, 496, 496, 1000,
    ]);
    for (const rate of [80, 100, 999, 1000, 9999, 10_000]) {
      expect(blockCapacity(rate) / rate).toBeLessThanOrEqual(0.1);
    }
  });

  test('puts every column at a multiple of 8 bytes', () => {
    for (const rate of [50, 333, 1000, 5000, 10_000]) {
      const { columns, stride } = blockLayout(
        formatOf(['int24', 'int16', 'float32', 'int24'], rate),
      );
      expect([...columns.map(({ offset }) => offset % 8), stride % 8]).toEqual([0, 0, 0, 0, 0]);
    }
  });

  test('takes at most 1.1 times the raw bytes at 4 channels of int16 and 1 kHz', () => {
    const rate = bytesPerSecond(blockLayout(formatOf(['int16', 'int16', 'int16', 'int16'])), 1000);
    expect(rate / 8000).toBeLessThanOrEqual(1.1);
  });
});
