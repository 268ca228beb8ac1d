/**
 * CSV with a data dictionary: full precision, one row a sample, header names with units.
 * Text cells that a spreadsheet would run as a formula are made inert; numbers stay numbers.
 */
import { closeSync, openSync, writeFileSync, writeSync } from 'node:fs';
import type { Exporter, ExportSource } from './index.ts';
import { tablesOf } from './rows.ts';
import { KEY_COLUMNS, writeSidecar } from './sidecar.ts';

/** Rows turned into one string before they are written. */
const ROWS_A_WRITE = 4096;

export const csv: Exporter = {
  id: 'csv',
  extension: 'csv',
  about: 'Text table that everything reads, with a data dictionary and a JSON sidecar.',
  // eslint-disable-next-line @typescript-eslint/require-await -- the others wait for their writers
  async write(source, path, progress) {
    const file = openSync(path, 'w');
    try {
      const names = [...KEY_COLUMNS, ...source.columns].map((column) => textCell(column.name));
      writeSync(file, `${names.join(',')}\n`);
      for (const table of tablesOf(source, ROWS_A_WRITE)) {
        writeSync(file, rowsText(source, table));
        progress((table.index[table.n - 1] ?? 0) + 1);
      }
    } finally {
      closeSync(file);
    }
    return [
      path,
      writeDictionary(source, path),
      writeMarkers(source, path),
      writeSidecar(source, path),
    ];
  },
};

function rowsText(
  source: ExportSource,
  table: { n: number; index: Float64Array; columns: readonly Float64Array[] },
): string {
  let text = '';
  for (let row = 0; row < table.n; row += 1) {
    const index = table.index[row] ?? 0;
    text += `${index},${index / source.rate_Hz}`;
    for (const column of table.columns) {
      const value = column[row] ?? Number.NaN;
      text += Number.isNaN(value) ? ',' : `,${value}`;
    }
    text += '\n';
  }
  return text;
}

function writeDictionary(source: ExportSource, path: string): string {
  const beside = `${path.replace(/\.csv$/, '')}.dictionary.csv`;
  const rows = [...KEY_COLUMNS, ...source.columns].map(({ name, unit, meaning }) =>
    [name, unit, meaning].map(textCell).join(','),
  );
  writeFileSync(beside, `column,unit,meaning\n${rows.join('\n')}\n`);
  return beside;
}

function writeMarkers(source: ExportSource, path: string): string {
  const beside = `${path.replace(/\.csv$/, '')}.markers.csv`;
  const rows = source.markers.map(({ index, time_s, kind, text }) =>
    [index, time_s, kind, textCell(text)].join(','),
  );
  writeFileSync(beside, `${['sample_index,time_s,kind,text', ...rows].join('\n')}\n`);
  return beside;
}

/** A cell of text, quoted where needed; a leading = + - @ tab or return gets an apostrophe. */
export function textCell(text: string): string {
  const inert = /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
  return /[",\n\r]/.test(inert) ? `"${inert.replaceAll('"', '""')}"` : inert;
}
