/**
 * Which stretch of the stream is on the sheet of chart paper. While a set is recorded the paper stands
 * still and only the pen moves; between sets the sheet starts anew each time the pen has crossed it.
 */

export type SheetMode = 'sweep' | 'set' | 'held';

export interface SheetSpan {
  readonly mode: SheetMode;
  /** Index in the stream at the left edge. */
  readonly first: number;
  /** Samples from the left edge to the right one. */
  readonly length: number;
  /** Seconds at the left edge: 0, or more when a long set turned the page. */
  readonly start_s: number;
  /** Index in the stream where the clock of this sheet reads 0. */
  readonly zero: number;
  /** A held sheet ends here; null while the pen still moves. */
  readonly end: number | null;
}

export interface SheetInput {
  readonly end: number;
  readonly rate_Hz: number;
  readonly sheet_s: number;
  /** Where the recording began, or null when nothing is recorded. */
  readonly recordingFirst: number | null;
  /** Where the sweep began: the last time the paper was changed by hand. */
  readonly sweepFirst: number;
  readonly held: SheetSpan | null;
}

/** The sheet for the newest sample; a held one stays until the paper is changed. */
export function sheetSpan(input: SheetInput): SheetSpan {
  const { end, rate_Hz, sheet_s, recordingFirst, held } = input;
  if (recordingFirst === null && held) return held;
  const zero = recordingFirst ?? input.sweepFirst;
  const length = Math.max(1, Math.round(sheet_s * rate_Hz));
  const page = Math.max(0, Math.floor((end - 1 - zero) / length));
  return {
    mode: recordingFirst === null ? 'sweep' : 'set',
    first: zero + page * length,
    length,
    start_s: recordingFirst === null ? 0 : page * sheet_s,
    zero: recordingFirst === null ? zero + page * length : zero,
    end: null,
  };
}

export function isSameSheet(a: SheetSpan, b: SheetSpan): boolean {
  return a.first === b.first && a.length === b.length && a.zero === b.zero;
}
