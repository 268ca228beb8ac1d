/**
 * Writes samples as lines of text, as any microcontroller would print them.
 * Every number is printed so that it reads back as the very same double, unless `decimals` is given.
 */
import type { StreamFormat } from '../block/block.ts';
import { asciiBytes } from '../decode/ascii.ts';
import type { TimeField } from '../decode/index.ts';

/** The time fields that are printed as whole numbers come round here, as a 32-bit counter does. */
const WRAP = 2 ** 32;
/** Stamps in seconds are printed to the nanosecond: finer than any clock that prints them. */
const SECOND_DECIMALS = 9;

export interface LineEncoderOptions {
  readonly time: TimeField;
  readonly separator?: ',' | ';' | '\t' | ' ';
  readonly newline?: '\n' | '\r\n';
  /** Digits after the point for every channel; without it as many as the number needs. */
  readonly decimals?: number;
}

export interface LineEncoder {
  /** `# rate_Hz: ...`, the notes, and the line of names. May be sent again at any time. */
  header(): Uint8Array;
  /** One line for each of the n samples from index `first`; one column a channel of the format. */
  samples(first: number, n: number, columns: readonly ArrayLike<number>[]): Uint8Array;
}

/** The format's channels are printed in order after the time field; it must not be one of them. */
export function createLineEncoder(format: StreamFormat, options: LineEncoderOptions): LineEncoder {
  const { time, separator = ',', newline = '\n', decimals } = options;
  const print = (value: number): string =>
    decimals === undefined || !Number.isFinite(value) ? String(value) : value.toFixed(decimals);
  return {
    header() {
      const notes = Object.entries({ ...format.notes, rate_Hz: String(format.rate_Hz) });
      const lines = notes.map(([key, value]) => `# ${key}: ${value}`);
      lines.push([time, ...format.channels.map((channel) => channel.name)].join(separator));
      return asciiBytes(lines.map((line) => line + newline).join(''));
    },
    samples(first, n, columns) {
      let text = '';
      for (let i = 0; i < n; i += 1) {
        text += printStamp(time, first + i, format.rate_Hz);
        for (const column of columns) text += separator + print(column[i] ?? Number.NaN);
        text += newline;
      }
      return asciiBytes(text);
    },
  };
}

function printStamp(time: TimeField, index: number, rate_Hz: number): string {
  switch (time) {
    case 'sample':
      return String(index % WRAP);
    case 'time_us':
      return String(Math.round((index * 1e6) / rate_Hz) % WRAP);
    case 'time_ms':
      return String(Number((((index * 1e3) / rate_Hz) % WRAP).toFixed(SECOND_DECIMALS - 3)));
    case 'time_s':
      return String(Number((index / rate_Hz).toFixed(SECOND_DECIMALS)));
  }
}
