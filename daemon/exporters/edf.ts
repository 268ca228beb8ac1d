/**
 * EDF+ (Kemp & Olivan 2003, "European data format 'plus'", Clin Neurophysiol 114:1755; text of the
 * published specification): 16-bit signals, one data record a second, markers as annotations.
 * Holes are filled with the digital minimum, which stands for nothing else, and are annotated.
 */
import { closeSync, openSync, writeSync } from 'node:fs';
import { EDF_DIGITAL_MOST, edfHeader, edfNumber, LEAST_ANNOTATION_BYTES } from './edf-header.ts';
import type { Exporter, ExportSource } from './index.ts';
import { writeSidecar } from './sidecar.ts';

/** Never a value: what a sample of a hole is set to. Values use -32767 .. 32767. */
export const EDF_NO_SAMPLE = -32768;
/** The specification recommends at most this many bytes a data record. */
const MOST_RECORD_BYTES = 61_440;

export const edf: Exporter = {
  id: 'edf',
  extension: 'edf',
  about: 'EDF+ for physiological signal tools; 16 bits over the stated full scale.',
  // eslint-disable-next-line @typescript-eslint/require-await -- the others wait for their writers
  async write(source, path, progress) {
    const samples = samplesARecord(source);
    const nRecords = Math.max(1, Math.ceil(source.end / samples));
    const annotations = annotationsOf(source, samples, nRecords);
    const annotationBytes = annotations.bytes;
    const duration_s = samples / source.rate_Hz;
    const file = openSync(path, 'w');
    try {
      writeSync(file, edfHeader(source, { nRecords, samples, duration_s, annotationBytes }));
      for (const record of recordsOf(source, { samples, nRecords, annotations })) {
        writeSync(file, record.bytes);
        progress(Math.min(source.end, (record.number + 1) * samples));
      }
    } finally {
      closeSync(file);
    }
    return [path, writeSidecar(source, path)];
  },
};

/** A second, or a tenth where a second of all columns would be too long for one record. */
function samplesARecord({ rate_Hz, columns }: ExportSource): number {
  const second = Math.max(1, Math.round(rate_Hz));
  const isShort = second * columns.length * 2 + LEAST_ANNOTATION_BYTES <= MOST_RECORD_BYTES;
  return isShort ? second : Math.ceil(second / 10);
}

/** Data records in order; `bytes` is reused by the next one. */
function* recordsOf(
  source: ExportSource,
  {
    samples,
    nRecords,
    annotations,
  }: { samples: number; nRecords: number; annotations: Annotations },
) {
  const nColumns = source.columns.length;
  const bytes = Buffer.alloc(nColumns * samples * 2 + annotations.bytes);
  const digital = new Int16Array(nColumns * samples);
  // A reader scales by the limits as printed in the header, so the writer does too.
  const leasts = source.columns.map(({ least }) => Number(edfNumber(least)));
  const scales = source.columns.map(
    ({ most }, c) => (2 * EDF_DIGITAL_MOST) / (Number(edfNumber(most)) - (leasts[c] ?? 0)),
  );
  let number = 0;

  function finish() {
    for (let i = 0; i < digital.length; i += 1) bytes.writeInt16LE(digital[i] ?? 0, 2 * i);
    bytes.fill(0, digital.length * 2);
    bytes.write(annotations.of(number), digital.length * 2, 'utf8');
    digital.fill(EDF_NO_SAMPLE);
  }

  digital.fill(EDF_NO_SAMPLE);
  for (const chunk of source.chunks()) {
    for (let i = 0; i < chunk.n; i += 1) {
      const at = chunk.index + i;
      while (Math.floor(at / samples) > number) {
        finish();
        yield { number, bytes };
        number += 1;
      }
      for (let c = 0; c < nColumns; c += 1) {
        const value = chunk.columns[c]?.[i] ?? Number.NaN;
        const scaled = Math.round((value - (leasts[c] ?? 0)) * (scales[c] ?? 1));
        digital[c * samples + (at % samples)] = Number.isNaN(scaled)
          ? EDF_NO_SAMPLE
          : Math.min(Math.max(scaled - EDF_DIGITAL_MOST, -EDF_DIGITAL_MOST), EDF_DIGITAL_MOST);
      }
    }
  }
  for (; number < nRecords; number += 1) {
    finish();
    yield { number, bytes };
  }
}

interface Annotations {
  /** Of the longest record, even: each has as many. */
  readonly bytes: number;
  of(record: number): string;
}

/**
 * Time-stamped annotation lists: +onset 21 duration 20 text 20 0; the first keeps the time. Markers and
 * holes stand in the record in which they begin.
 */
function annotationsOf(source: ExportSource, samples: number, nRecords: number): Annotations {
  const lists = new Map<number, string>();
  const add = (index: number, entry: string): void => {
    const record = Math.min(Math.max(Math.floor(index / samples), 0), nRecords - 1);
    lists.set(record, (lists.get(record) ?? '') + entry);
  };
  for (const { index, time_s, text } of source.markers) {
    add(index, `+${time_s}\x14${text.replaceAll(/[\0-\x1f]/g, ' ')}\x14\0`);
  }
  for (const { first, end } of source.holes) {
    const duration_s = (end - first) / source.rate_Hz;
    add(first, `+${first / source.rate_Hz}\x15${duration_s}\x14no samples\x14\0`);
  }
  const of = (record: number): string =>
    `+${(record * samples) / source.rate_Hz}\x14\x14\0${lists.get(record) ?? ''}`;
  let bytes = LEAST_ANNOTATION_BYTES;
  for (const record of lists.keys()) bytes = Math.max(bytes, Buffer.byteLength(of(record)));
  return { bytes: 2 * Math.ceil(bytes / 2), of };
}
