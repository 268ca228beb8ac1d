/**
 * The text dialect: one sample a line, as any microcontroller prints it.
 * A line that is not wholly numbers of the right count is left out. There is no checksum: damage that
 * leaves a well-formed line (a lost digit) cannot be seen, which is what integrity `text` says.
 */
import type { FaultCode } from '../faults.ts';
import { asciiText } from './ascii.ts';
import { noCounts } from './counts.ts';
import { FieldReader } from './fields.ts';
import type { Decoder, DecoderHints, DecoderSink, Dialect, TimeField } from './index.ts';
import {
  isTimeField,
  layoutOf,
  MAX_LINE_BYTES,
  parseNames,
  parseNote,
  type LineLayout,
} from './line-names.ts';
import { RowBlocks } from './line-rows.ts';
import { createSplitter } from './split.ts';

/** So many lines in a row with another number of fields are no damage any more. */
const CHANGED_LINES = 8;
/** A recording keeps them all. */
const MAX_NOTES = 64;
const MAX_RATE_HZ = 1e6;

const NEWLINE = 0x0a;
const RETURN = 0x0d;
const BLANK = 0x20;
const HASH = 0x23;

export const lines = {
  id: 'lines',
  about: 'one sample a line of text, first the time or a counter, then the channels',
  create: (hints: DecoderHints, sink: DecoderSink): Decoder => new LineDecoder(hints, sink),
} as const satisfies Dialect;

class LineDecoder implements Decoder {
  readonly counts = noCounts();
  readonly push: (bytes: Uint8Array) => void;
  readonly #hints: DecoderHints;
  readonly #sink: DecoderSink;
  readonly #fields = new FieldReader();
  readonly #rows: RowBlocks;
  readonly #notes = new Map<string, string>();
  #layout: LineLayout | null = null;
  #announced_Hz: number | null;
  /** What would change a running stream must be said twice: one damaged line changes nothing. */
  #otherNames = '';
  #otherRate_Hz = 0;
  /** Lines in a row with this other number of fields. */
  #otherCount = 0;
  #nOther = 0;
  /** Rows read in the columns that are believed. */
  #nRows = 0;
  /** The first line may be the rest of one that began before we listened. */
  #isJoined = false;

  constructor(hints: DecoderHints, sink: DecoderSink) {
    this.#hints = hints;
    this.#sink = sink;
    this.#announced_Hz = hints.rate_Hz ?? null;
    this.#rows = new RowBlocks(hints, sink, this.counts);
    if (hints.names !== undefined) this.#adopt(timeOf(hints.names, hints), hints.names);
    this.push = createSplitter(NEWLINE, MAX_LINE_BYTES, {
      quick: (bytes, first) => this.#readPlainLines(bytes, first),
      frame: (bytes, first, end) => {
        this.#readLine(bytes, first, end);
        this.#isJoined = true;
      },
      tooLong: () => this.#leaveOut(0, 'frameDamaged', 'a line is longer than 256 bytes'),
      skip: (nBytes) => (this.counts.unreadBytes += nBytes),
    });
  }

  flush(): void {
    this.#rows.flush();
  }

  /** Plain rows one after another, where they lie; the first other line is left where it is. */
  #readPlainLines(bytes: Uint8Array, first: number): number {
    const nFields = this.#layout?.channels.length ?? 0;
    let last = bytes.length - 1;
    while (last > first && bytes[last] !== NEWLINE) last -= 1;
    let at = first;
    while (nFields > 0 && at < last) {
      const next = this.#fields.readPlain(bytes, at, nFields);
      if (next < 0 || next - at > MAX_LINE_BYTES) break;
      this.#isJoined = true;
      this.#readRow();
      at = next;
    }
    return at;
  }

  #readLine(bytes: Uint8Array, first: number, end: number): void {
    const nFields = this.#layout?.channels.length ?? 0;
    if (nFields > 0 && this.#fields.readPlain(bytes, first, nFields) === end + 1) {
      return this.#readRow();
    }
    let last = end;
    while (last > first && (bytes[last - 1] === RETURN || bytes[last - 1] === BLANK)) last -= 1;
    if (last === first) return;
    if (bytes[first] === HASH) return this.#readNote(asciiText(bytes, first, last));
    const n = this.#fields.read(bytes, first, last);
    if (n < 0) return this.#readNames(bytes, first, last);
    if (n === nFields) return this.#readRow();
    this.#readOtherCount(n, last - first);
  }

  #readRow(): void {
    this.#nOther = 0;
    this.#nRows += 1;
    const { values, nNotANumber } = this.#fields;
    if (nNotANumber > 0) this.#sink.fault('notANumber', '', nNotANumber);
    this.#rows.push(values);
  }

  #readOtherCount(n: number, nBytes: number): void {
    this.#nOther = n === this.#otherCount ? this.#nOther + 1 : 1;
    this.#otherCount = n;
    const isLasting = this.#nOther >= CHANGED_LINES && n > 1;
    const { time, names } = this.#hints;
    const isNew = this.#nRows <= 1 && n > 1;
    if ((isLasting || isNew) && time !== undefined && names === undefined) {
      this.#adopt(time, [time, ...Array.from({ length: n - 1 }, (_, c) => `ch${c + 1}`)]);
      return this.#readRow();
    }
    const other = this.#otherNames === '' ? null : parseNames(this.#otherNames);
    if (n > 1 && other?.length === n) {
      this.#adopt(timeOf(other, this.#hints), other);
      return this.#readRow();
    }
    if (this.#layout === null) {
      const detail = 'no header yet: name the columns, or say time=time_us and names=...';
      return this.#leaveOut(nBytes, 'sourceUnreadable', detail);
    }
    const detail = `${n} fields where ${this.#layout.channels.length} belong`;
    this.#leaveOut(nBytes, isLasting ? 'headerContradiction' : 'frameDamaged', detail);
  }

  #readNames(bytes: Uint8Array, first: number, end: number): void {
    const text = asciiText(bytes, first, end);
    const names = parseNames(text);
    if (names === null) {
      return this.#leaveOut(end - first, 'frameDamaged', 'it is not numbers throughout');
    }
    const time = timeOf(names, this.#hints);
    if (time === null) {
      const detail = `first column ${names[0]}: use time_s, time_ms, time_us, sample, or add time=`;
      return this.#leaveOut(end - first, 'headerContradiction', detail);
    }
    this.counts.frames += 1;
    if (this.#hints.names !== undefined) return;
    const known = this.#layout?.channels.map(({ name }) => name).join();
    if (known === names.join()) {
      this.#otherNames = '';
    } else if (known === undefined || this.#otherNames === text) {
      this.#adopt(time, names);
    } else {
      this.#otherNames = text;
    }
  }

  #adopt(time: TimeField | null, names: readonly string[]): void {
    if (time === null) return;
    if (this.#nRows > 1) this.#sink.fault('channelsChanged', names.join(' '), 1);
    this.#layout = layoutOf(time, names);
    this.#otherNames = '';
    this.#nRows = 0;
    this.#begin();
  }

  #begin(): void {
    if (this.#layout === null) return;
    this.#rows.begin(this.#layout, this.#announced_Hz, Object.fromEntries(this.#notes));
  }

  #readNote(text: string): void {
    this.counts.frames += 1;
    const [key, value] = parseNote(text) ?? ['', ''];
    if (key === '') return;
    if (this.#notes.has(key) || this.#notes.size < MAX_NOTES) this.#notes.set(key, value);
    if (key === 'rate_Hz' && this.#hints.rate_Hz === undefined) this.#announceRate(Number(value));
  }

  #announceRate(rate_Hz: number): void {
    if (!(rate_Hz > 0 && rate_Hz <= MAX_RATE_HZ) || rate_Hz === this.#announced_Hz) return;
    const before_Hz = this.#rows.rate_Hz;
    if (before_Hz !== null && before_Hz !== rate_Hz) {
      const isConfirmed = rate_Hz === this.#otherRate_Hz;
      this.#otherRate_Hz = rate_Hz;
      if (!isConfirmed) return;
      this.#sink.fault('rateChanged', `from ${before_Hz} to ${rate_Hz} Hz`, 1);
    }
    this.#announced_Hz = rate_Hz;
    if (before_Hz !== rate_Hz) this.#begin();
  }

  #leaveOut(nBytes: number, code: FaultCode, detail: string): void {
    this.counts.unreadBytes += nBytes;
    if (!this.#isJoined) return;
    if (code !== 'sourceUnreadable') this.counts.damagedFrames += 1;
    this.#sink.fault(code, detail, 1);
  }
}

/** What the first column is: its own name says it, or the hints do. */
function timeOf(names: readonly string[], hints: DecoderHints): TimeField | null {
  return hints.time ?? (isTimeField(names[0]) ? names[0] : null);
}
