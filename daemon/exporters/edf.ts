/**
 * EDF+ (Kemp & Olivan 2003, "European data format 'plus'", Clin Neurophysiol 114:1755; text of the
 * published specification): 16-bit signals, one data record a second, markers as annotations.
 * Holes are filled with the digital minimum, which stands for nothing else, and are annotated.
 */
import { closeSync, openSync, writeSync } from 'node:fs';
import { ANNOTATION_BYTES, EDF_DIGITAL_MOST, edfHeader, edfNumber } from './edf-header.ts';
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
    const file = openSync(path, 'w');
    try {
      writeSync(
        file,
        edfHeader(source, { nRecords, samples, duration_s: samples / source.rate_Hz }),
      );
      for (const record of recordsOf(source, samples, nRecords)) {
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
  const isShort = second * columns.length * 2 + ANNOTATION_BYTES <= MOST_RECORD_BYTES;
  return isShort ? second : Math.ceil(second / 10);
}

/** Data records in order; `bytes` is reused by the next one. */
function* recordsOf(source: ExportSource, samples: number, nRecords: number) {
  const nColumns = source.columns.length;
  const bytes = Buffer.alloc(nColumns * samples * 2 + ANNOTATION_BYTES);
  const digital = new Int16Array(nColumns * samples);
  // A reader scales by the limits as printed in the header, so the writer does too.
  const leasts = source.columns.map(({ least }) => Number(edfNumber(least)));
  const scales = source.columns.map(
    ({ most }, c) => (2 * EDF_DIGITAL_MOST) / (Number(edfNumber(most)) - (leasts[c] ?? 0)),
  );
  const annotations = annotationsOf(source, samples);
  let number = 0;

  function finish() {
    for (let i = 0; i < digital.length; i += 1) bytes.writeInt16LE(digital[i] ?? 0, 2 * i);
    const onset_s = (number * samples) / source.rate_Hz;
    bytes.fill(0, digital.length * 2);
    bytes.write(annotations.take(onset_s, number), digital.length * 2, 'utf8');
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

/** Time-stamped annotation lists: +onset 21 [duration] 20 text 20 0; the first keeps the time. */
function annotationsOf(source: ExportSource, samples: number) {
  const waiting = [...source.markers].sort((a, b) => a.time_s - b.time_s);
  return {
    take(onset_s: number, number: number): string {
      const end_s = ((number + 1) * samples) / source.rate_Hz;
      let text = `+${onset_s}\x14\x14\0`;
      let next = waiting[0];
      while (next && next.time_s < end_s) {
        const entry = `+${next.time_s}\x14${next.text.replaceAll(/[\0-\x1f]/g, ' ')}\x14\0`;
        if (Buffer.byteLength(text + entry) > ANNOTATION_BYTES) break;
        text += entry;
        waiting.shift();
        next = waiting[0];
      }
      return text;
    },
  };
}
