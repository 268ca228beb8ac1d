/** What lines look like, and that they read back to the last bit. */
import { describe, expect, test } from 'vitest';
import { createLineEncoder } from '../../../shared/encode/lines.ts';
import { formatOf, hear } from '../../support/wire.ts';

const format = { ...formatOf('float64', 2), notes: { station: 'North' } };
const printed = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);

describe('lines', () => {
  test('header and samples as text', () => {
    const encoder = createLineEncoder(format, { time: 'time_us' });
    expect(printed(encoder.header())).toBe('# station: North\n# rate_Hz: 1000\ntime_us,ai0,ai1\n');
    expect(
      printed(
        encoder.samples(5, 2, [
          [1, -0.25],
          [1e-7, 3],
        ]),
      ),
    ).toBe('5000,1,1e-7\n6000,-0.25,3\n');
  });

  test.each([
    ['time_s', '1.001;0.50'],
    ['time_ms', '1001;0.50'],
    ['time_us', '1001000;0.50'],
    ['sample', '1001;0.50'],
  ] as const)('stamp %s, separator, line end and decimals as asked', (time, row) => {
    const options = { time, separator: ';', newline: '\r\n', decimals: 2 } as const;
    const encoder = createLineEncoder(formatOf('float64', 1), options);
    expect(printed(encoder.samples(1001, 1, [[0.5]]))).toBe(`${row}\r\n`);
  });

  test('counters come round as those of a device do', () => {
    const stamp = (time: 'sample' | 'time_us', first: number): string =>
      printed(createLineEncoder(formatOf('float64', 1), { time }).samples(first, 1, [[0]]));
    expect(stamp('sample', 2 ** 32 + 3)).toBe('3,0\n');
    expect(stamp('time_us', 4_294_968)).toBe('704,0\n');
  });

  test('what is read back is what was sent, missing values too', () => {
    const columns = [
      [0.1 + 0.2, Number.NaN, -1 / 3],
      [Number.MAX_VALUE, 5e-324, 0],
    ];
    const encoder = createLineEncoder(format, { time: 'time_ms' });
    const heard = hear('lines', [encoder.header(), encoder.samples(0, 3, columns)]);
    expect(heard.rows.map((row) => row.slice(3))).toEqual([
      [0.1 + 0.2, Number.MAX_VALUE],
      [Number.NaN, 5e-324],
      [-1 / 3, 0],
    ]);
  });
});
