/**
 * Header of an EDF+ file: 256 bytes and 256 more a signal, all printable ASCII.
 *
 * | bytes | what                     | bytes a signal | what                       |
 * |-------|--------------------------|----------------|----------------------------|
 * | 8     | version, `0`             | 16             | label                      |
 * | 80    | patient: code sex X X    | 80             | transducer                 |
 * | 80    | Startdate dd-MMM-yyyy …  | 8              | physical dimension         |
 * | 8, 8  | dd.mm.yy, hh.mm.ss       | 8, 8           | physical minimum, maximum  |
 * | 8     | bytes in the header      | 8, 8           | digital minimum, maximum   |
 * | 44    | `EDF+C`                  | 80             | prefiltering               |
 * | 8     | number of data records   | 8              | samples a data record      |
 * | 8     | duration of one, seconds | 32             | reserved                   |
 * | 4     | number of signals        |                |                            |
 */
import type { ExportSource } from './index.ts';

export const EDF_DIGITAL_MOST = 32767;
/** Least bytes for time-keeping and markers in one data record. */
export const LEAST_ANNOTATION_BYTES = 512;
const MONTHS = ['JAN', 'FEB', 'MAR', 'APR', 'MAY', 'JUN', 'JUL', 'AUG', 'SEP', 'OCT', 'NOV', 'DEC'];

export function edfHeader(
  source: ExportSource,
  records: { nRecords: number; samples: number; duration_s: number; annotationBytes: number },
): Buffer {
  const started = new Date(source.startedAt);
  const pad = (value: number) => String(value).padStart(2, '0');
  const [day, month, year] = [
    started.getUTCDate(),
    started.getUTCMonth(),
    started.getUTCFullYear(),
  ];
  const nSignals = source.columns.length + 1;
  const { subject } = source.provenance;
  const code = spaceless(typeof subject === 'string' ? subject : '') || 'X';
  const whole = [
    field('0', 8),
    field(`${code} X X X`, 80),
    field(
      `Startdate ${pad(day)}-${MONTHS[month] ?? ''}-${year} ${spaceless(source.id)} X Momentarm`,
      80,
    ),
    field(`${pad(day)}.${pad(month + 1)}.${pad(year % 100)}`, 8),
    field(
      [started.getUTCHours(), started.getUTCMinutes(), started.getUTCSeconds()].map(pad).join('.'),
      8,
    ),
    field(String(256 * (nSignals + 1)), 8),
    field('EDF+C', 44),
    field(String(records.nRecords), 8),
    field(edfNumber(records.duration_s), 8),
    field(String(nSignals), 4),
  ];
  const a = { label: 'EDF Annotations', unit: '', least: '-1', most: '1', digital: 32768 };
  const signals = [
    ...source.columns.map(({ name, unit, least, most }) => ({
      label: name,
      unit,
      least: edfNumber(least),
      most: edfNumber(most),
      digital: EDF_DIGITAL_MOST,
      samples: records.samples,
    })),
    { ...a, samples: records.annotationBytes / 2 },
  ];
  const each = (text: (signal: (typeof signals)[number]) => string, width: number) =>
    signals.map((signal) => field(text(signal), width));
  return Buffer.from(
    [
      ...whole,
      ...each(({ label }) => label, 16),
      ...each(() => '', 80),
      ...each(({ unit }) => unit, 8),
      ...each(({ least }) => least, 8),
      ...each(({ most }) => most, 8),
      ...each(({ digital }) => String(-digital), 8),
      ...each(({ digital }) => String(Math.min(digital, 32767)), 8),
      ...each(() => '', 80),
      ...each(({ samples }) => String(samples), 8),
      ...each(() => '', 32),
    ].join(''),
    'latin1',
  );
}

/** Left-justified ASCII of exactly `width`; what does not fit or is not printable is cut. */
function field(text: string, width: number): string {
  return text
    .replaceAll(/[^\x20-\x7e]/g, '_')
    .slice(0, width)
    .padEnd(width);
}

const spaceless = (text: string) => text.trim().replaceAll(/\s+/g, '_');

/** A number in at most 8 characters, as many digits as fit. */
export function edfNumber(value: number): string {
  for (let digits = 8; digits > 0; digits -= 1) {
    const text = String(Number(value.toPrecision(digits)));
    if (text.length <= 8 && !text.includes('e')) return text;
  }
  throw new RangeError(`no EDF number of 8 characters for ${value}`);
}
