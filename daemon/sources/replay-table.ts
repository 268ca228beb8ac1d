/**
 * The lines of a plain table as they stand, time first, at the pace of their own stamps.
 * Where there is no column of time, lines get a counter and the pace is that of `rate`.
 */
import { asciiBytes, asciiText } from '../../shared/decode/ascii.ts';
import { isTimeField, parseNames } from '../../shared/decode/line-names.ts';
import { readBytes } from '../tables/read-table-file.ts';
import type { Piece } from './replay.ts';
import { shown } from './url-wire.ts';

const NEWLINE = 10;
/** Lines sent at once: 20 ms at 1 kHz. */
const LINES_A_PIECE = 20;
const SECONDS: Readonly<Record<string, number>> = { time_s: 1, time_ms: 1e-3, time_us: 1e-6 };

interface Columns {
  readonly names: readonly string[];
  readonly separator: string;
  /** Place of the column of time; -1 when lines get a counter. */
  readonly time: number;
  /** Seconds of one unit of the column of time, or of one line. */
  readonly unit_s: number;
}

/** Throws one plain sentence when the table cannot be replayed. */
export function* tablePieces(
  path: string,
  rate: string | undefined,
): Generator<Piece, void, undefined> {
  const read = readBytes(path);
  if ('problem' in read) throw new Error(`${shown(path)}: ${read.problem}.`);
  let columns: Columns | null = null;
  let first_s: number | null = null;
  let due_s = 0;
  let nLines = 0;
  let text = rate === undefined ? '' : `# rate_Hz: ${rate}\n`;
  for (const line of linesOf(read.bytes)) {
    if (line.startsWith('#') || line === '') {
      text += `${line}\n`;
      continue;
    }
    if (columns === null) {
      columns = columnsOf(line, path, rate);
      text += `${inOrder(columns, columns.names, 'sample')}\n`;
      continue;
    }
    const fields = line.split(columns.separator);
    const stamp = columns.time < 0 ? nLines : Number(fields[columns.time]);
    const time_s = stamp * columns.unit_s;
    if (Number.isFinite(time_s)) {
      first_s ??= time_s;
      due_s = Math.max(due_s, time_s - first_s);
    }
    text += `${inOrder(columns, fields, String(nLines))}\n`;
    nLines += 1;
    if (nLines % LINES_A_PIECE > 0) continue;
    yield { due_s, bytes: asciiBytes(text) };
    text = '';
  }
  if (nLines === 0) throw new Error(`${shown(path)}: the table has no rows.`);
  if (text !== '') yield { due_s, bytes: asciiBytes(text) };
}

function columnsOf(header: string, path: string, rate: string | undefined): Columns {
  const names = parseNames(header.replaceAll('"', ''));
  if (names === null) throw new Error(`${shown(path)}: its first line is no header of names.`);
  const separator = /[,;\t]/.exec(header)?.[0] ?? ' ';
  const time = names.findIndex(isTimeField);
  const unit_s = time < 0 ? undefined : SECONDS[names[time] ?? ''];
  if (unit_s !== undefined) return { names, separator, time, unit_s };
  if (rate === undefined) {
    throw new Error(`${shown(path)}: it has no column time_s; add rate=HZ to the address.`);
  }
  return { names, separator, time, unit_s: 1 / Number(rate) };
}

/** Time first, as the text format wants it. */
function inOrder(columns: Columns, fields: readonly string[], counter: string): string {
  const { time, separator } = columns;
  if (time === 0) return fields.join(separator);
  const rest = fields.filter((_, k) => k !== time);
  return [time < 0 ? counter : (fields[time] ?? ''), ...rest].join(separator);
}

function* linesOf(bytes: Uint8Array): Generator<string, void, undefined> {
  const isMarked = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf;
  for (let from = isMarked ? 3 : 0; from < bytes.length;) {
    const feed = bytes.indexOf(NEWLINE, from);
    const end = feed < 0 ? bytes.length : feed;
    yield asciiText(bytes, from, end).trim();
    from = end + 1;
  }
}
