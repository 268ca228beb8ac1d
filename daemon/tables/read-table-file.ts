/** Plain tables from disk, packed by gzip or not, as signals. Trouble is one sentence, never a throw. */
import { readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import type { Signal } from '../../shared/analysis-types.ts';
import type { ColumnOptions } from '../../shared/tables/columns.ts';
import { readTable } from '../../shared/tables/read-table.ts';
import { type SignalOptions, tableSignal } from '../../shared/tables/signal.ts';

/** Ten hours at 10 kHz with three columns; a small file that unpacks to more is not a table. */
const MOST_UNPACKED_BYTES = 2 ** 31 - 1;

export type TableOptions = ColumnOptions & SignalOptions;

export type TableReading =
  { readonly signal: Signal; readonly damage: readonly string[] } | { readonly problem: string };

export function readTableFile(path: string, options: TableOptions): TableReading {
  const bytes = readBytes(path);
  if ('problem' in bytes) return bytes;
  const table = readTable(bytes.bytes, options);
  if ('problem' in table) return table;
  const read = tableSignal(table, options);
  return 'problem' in read ? read : { signal: read.signal, damage: table.damage };
}

/** The file's bytes, unpacked when they are packed, whatever its name. */
export function readBytes(
  path: string,
): { readonly bytes: Uint8Array } | { readonly problem: string } {
  let bytes: Uint8Array;
  try {
    bytes = readFileSync(path);
  } catch (error) {
    return { problem: readTrouble(error) };
  }
  if (bytes[0] !== 0x1f || bytes[1] !== 0x8b) return { bytes };
  try {
    return { bytes: gunzipSync(bytes, { maxOutputLength: MOST_UNPACKED_BYTES }) };
  } catch {
    return { problem: 'the packed file is damaged or too large: unpack it with gzip to see' };
  }
}

function readTrouble(error: unknown): string {
  const code = error instanceof Error && 'code' in error ? error.code : '';
  if (code === 'ENOENT') return 'there is no such file';
  if (code === 'EACCES') return 'the file may not be read: check its permissions';
  if (code === 'EISDIR') return 'this is a folder, neither a table nor a recording';
  return 'the file cannot be read';
}
