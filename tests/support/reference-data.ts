/** Finds the open reference data outside the project, and says plainly when it is not there. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';

export const REFERENCE_DATA =
  process.env['MOMENTARM_REFERENCE_DATA'] ??
  join(import.meta.dirname, '..', '..', '..', 'shared', 'data');

/** True when the data are there. In CI their absence is an error; elsewhere it is said and left. */
export function hasReferenceData(): boolean {
  if (existsSync(REFERENCE_DATA)) return true;
  if (process.env['CI'] === 'true') throw new Error(`reference data absent: ${REFERENCE_DATA}`);
  process.stderr.write('not run: reference data absent\n');
  return false;
}

/** Text of a reference file, unpacked when its name ends in `.gz`. */
export function referenceText(...path: string[]): string {
  const bytes = readFileSync(join(REFERENCE_DATA, ...path));
  return (path.at(-1)?.endsWith('.gz') ? gunzipSync(bytes) : bytes).toString('utf8');
}

/** Files are read once a test file: several tests look at the same ones. Nobody changes the columns. */
const read = new Map<string, Record<string, Float64Array>>();

/** Columns of a CSV reference file by their header name. */
export function referenceColumns(...path: string[]): Record<string, Float64Array> {
  const key = path.join('/');
  let columns = read.get(key);
  if (columns === undefined) {
    columns = readColumns(path);
    read.set(key, columns);
  }
  return columns;
}

function readColumns(path: readonly string[]): Record<string, Float64Array> {
  const [header = '', ...lines] = referenceText(...path)
    .trim()
    .split(/\r?\n/);
  const names = header.split(',');
  const columns = names.map(() => new Float64Array(lines.length));
  lines.forEach((line, row) => {
    line.split(',').forEach((field, c) => {
      const column = columns[c];
      if (column) column[row] = Number(field);
    });
  });
  return Object.fromEntries(names.map((name, c) => [name, columns[c] ?? new Float64Array()]));
}
