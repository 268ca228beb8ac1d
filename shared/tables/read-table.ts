/**
 * A plain table (CSV) into columns: one pass over the bytes, one typed array a column, no row objects.
 * Refuses text where a number belongs, with the line; a missing number becomes NaN.
 */
import { type ColumnOptions, type ColumnPlan, planColumns, type Quantity } from './columns.ts';
import { asciiText, type FieldState, parseNumber, utf8Text } from './parse-number.ts';

const NEWLINE = 10;
const HASH = 35;
const QUOTE_LENGTH = 30;
const SEPARATORS = [44, 59, 9, 32];
/** A header longer than this is not a header: someone gave a file of another kind. */
const LONGEST_HEADER = 100_000;

export interface Table {
  readonly columns: Partial<Record<Quantity, Float64Array>>;
  /** Line of the file (from 1) of each row, for messages. */
  lineOf(row: number): number;
  /** What was left out because it is damaged; empty when nothing was. */
  readonly damage: readonly string[];
}

type Read<T> = T | { readonly problem: string };

/** Columns of the quantities that are there, scaled; or one sentence about why it cannot be read. */
export function readTable(bytes: Uint8Array, options: ColumnOptions): Read<Table> {
  const head = readHeader(bytes);
  if ('problem' in head) return head;
  const planned = planColumns(head.names, options);
  if ('problem' in planned) return planned;
  const rows = new Rows(bytes, head, planned.plan);
  const problem = rows.read();
  if (problem !== null) return { problem };
  const columns: Partial<Record<Quantity, Float64Array>> = {};
  for (const [quantity, column] of rows.columns()) {
    const factor = options.scale?.[quantity] ?? 1;
    if (factor !== 1) for (let i = 0; i < column.length; i += 1) column[i] *= factor;
    columns[quantity] = column;
  }
  return { columns, lineOf: (row) => rows.lineOf(row), damage: rows.damage };
}

interface Head {
  readonly names: readonly string[];
  readonly separator: number;
  /** Where the first row begins, and its line. */
  readonly from: number;
  readonly line: number;
}

function readHeader(bytes: Uint8Array): Read<Head> {
  let from = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
  let line = 1;
  for (;;) {
    if (from >= bytes.length) return { problem: 'the table is empty: it needs a header and rows' };
    const end = endOfLine(bytes, from);
    if (end - from > LONGEST_HEADER) return { problem: 'the first line is no header of a table' };
    const text = utf8Text(bytes, from, end).trim();
    if (text !== '' && !text.startsWith('#'))
      return { ...headerOf(text), from: end + 1, line: line + 1 };
    from = end + 1;
    line += 1;
  }
}

function headerOf(text: string): Read<{ names: string[]; separator: number }> {
  const separator = SEPARATORS.find((code) => text.includes(String.fromCharCode(code))) ?? 44;
  const names = text
    .split(separator === 32 ? / +/ : String.fromCharCode(separator))
    .map((name) => name.trim().replace(/^"(.*)"$/, '$1'));
  if (names.every((name) => name !== '' && Number.isFinite(Number(name)))) {
    return {
      problem: 'line 1 is numbers: write a header above it, e.g. time_s,torque_Nm,angle_deg',
    };
  }
  return { names, separator };
}

function endOfLine(bytes: Uint8Array, from: number): number {
  const end = bytes.indexOf(NEWLINE, from);
  return end < 0 ? bytes.length : end;
}

/** Reads the rows: class because the loop fills state that the messages need later. */
class Rows {
  readonly damage: string[] = [];
  readonly #bytes: Uint8Array;
  readonly #head: Head;
  readonly #quantities: readonly Quantity[];
  /** Slot of each column of the file, -1 for one that nobody needs. */
  readonly #slots: Int32Array;
  readonly #columns: readonly Float64Array[];
  /** Lines that hold no row (comments, blanks), rising. */
  readonly #skipped: number[] = [];
  #n = 0;

  constructor(bytes: Uint8Array, head: Head, plan: ColumnPlan) {
    this.#bytes = bytes;
    this.#head = head;
    const entries = Object.entries(plan) as [Quantity, number][];
    this.#quantities = entries.map(([quantity]) => quantity);
    this.#slots = new Int32Array(head.names.length).fill(-1);
    entries.forEach(([, column], slot) => (this.#slots[column] = slot));
    const most = countLines(bytes, head.from);
    this.#columns = entries.map(() => new Float64Array(most));
  }

  columns(): [Quantity, Float64Array][] {
    return this.#quantities.map((quantity, slot) => [
      quantity,
      this.#columns[slot].length === this.#n
        ? this.#columns[slot]
        : this.#columns[slot].slice(0, this.#n),
    ]);
  }

  lineOf(row: number): number {
    let line = row + this.#head.line;
    for (const skipped of this.#skipped) if (skipped <= line) line += 1;
    return line;
  }

  read(): string | null {
    const bytes = this.#bytes;
    let from = this.#head.from;
    let line = this.#head.line;
    while (from < bytes.length) {
      let end = bytes.indexOf(NEWLINE, from);
      const isLast = end < 0;
      if (isLast) end = bytes.length;
      const problem = this.#row(from, end, line, isLast);
      if (problem !== null) return problem;
      from = end + 1;
      line += 1;
    }
    return null;
  }

  #row(from: number, lineEnd: number, line: number, isLast: boolean): string | null {
    const bytes = this.#bytes;
    let end = lineEnd;
    while (end > from && bytes[end - 1] <= 32 && bytes[end - 1] !== this.#head.separator) end -= 1;
    let start = from;
    while (start < end && bytes[start] === 32) start += 1;
    if (start === end || bytes[start] === HASH) {
      this.#skipped.push(line);
      return null;
    }
    const width = this.#slots.length;
    let column = 0;
    for (let i = start; column < width; column += 1) {
      const fieldEnd = this.#fieldEnd(i, end);
      const slot = this.#slots[column];
      if (slot >= 0) {
        this.#columns[slot][this.#n] = parseNumber(bytes, i, fieldEnd, field);
        if (field.isText) return this.#textTrouble(i, fieldEnd, column, line);
      }
      if (fieldEnd >= end) break;
      i = fieldEnd + 1;
      while (this.#head.separator === 32 && bytes[i] === 32) i += 1;
    }
    if (column < width - 1) {
      const counts = `has ${String(column + 1)} fields, the header ${String(width)}`;
      if (!isLast) return `line ${String(line)} ${counts}: the table is damaged there`;
      this.damage.push(`line ${String(line)}, the last, ${counts}: it was left out`);
      return null;
    }
    this.#n += 1;
    return null;
  }

  #fieldEnd(from: number, end: number): number {
    const bytes = this.#bytes;
    const { separator } = this.#head;
    let i = from;
    while (i < end && bytes[i] !== separator) i += 1;
    return i;
  }

  #textTrouble(from: number, to: number, column: number, line: number): string {
    field.isText = false;
    const text = asciiText(this.#bytes, from, Math.min(to, from + QUOTE_LENGTH)).trim();
    const name = this.#head.names[column];
    const hint = /^-?\d+,\d+$/.test(text) ? 'write decimal points' : 'correct or remove it';
    return `line ${String(line)}: ${name} is "${text}", not a number: ${hint}`;
  }
}

const field: FieldState = { isText: false };

function countLines(bytes: Uint8Array, from: number): number {
  let n = 1;
  for (let i = from; i < bytes.length; i += 1) if (bytes[i] === NEWLINE) n += 1;
  return n;
}
