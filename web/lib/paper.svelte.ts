/** Which sheet lies on the table: turned by the stream, held after a set, changed by hand. */
import { isSameSheet, sheetSpan, type SheetMode, type SheetSpan } from './sheet.ts';
import type { Station } from './station.svelte.ts';

export class Paper {
  mode = $state<SheetMode>('sweep');
  /** Seconds at the left edge. */
  start_s = $state(0);
  /** Which sheet of the set this is, from 1, and how many a held set has. */
  page = $state(1);
  nPages = $state(1);
  /** Goes up when another sheet lies on the table. */
  edition = $state(0);
  private span: SheetSpan | null = null;
  private held: SheetSpan | null = null;
  private sweepFirst = -1;
  private readonly station: Station;

  constructor(station: Station) {
    this.station = station;
  }

  /** A new sheet from the newest sample on. */
  change(): void {
    this.held = null;
    this.sweepFirst = this.station.ring?.end ?? -1;
  }

  /** Turns a held set back (-1) or on (1) by a sheet. */
  leaf(way: -1 | 1): void {
    const { held } = this;
    if (!held || held.end === null) return;
    const first = held.first + way * held.length;
    if (first < held.zero || first >= held.end) return;
    const rate_Hz = this.station.ring?.rate_Hz ?? 1;
    this.held = { ...held, first, start_s: (first - held.zero) / rate_Hz };
  }

  /** The sheet for this frame; null before the first sample. */
  turn(): SheetSpan | null {
    const { ring, state, recordingFirst } = this.station;
    if (!ring || !state || ring.end <= 0) return null;
    if (this.sweepFirst < 0 || this.sweepFirst > ring.end) this.sweepFirst = ring.begin;
    if (this.held?.end != null && ring.end < this.held.end) this.held = null;
    if (recordingFirst !== null) this.held = null;
    else if (this.span?.mode === 'set') this.held = { ...this.span, mode: 'held', end: ring.end };
    const span = sheetSpan({
      end: ring.end,
      rate_Hz: ring.rate_Hz,
      sheet_s: state.setup.sheet_s,
      recordingFirst,
      sweepFirst: this.sweepFirst,
      held: this.held,
    });
    if (!this.span || !isSameSheet(this.span, span) || this.span.mode !== span.mode) {
      this.mode = span.mode;
      this.start_s = span.start_s;
      this.edition += 1;
      this.page = Math.round((span.first - span.zero) / span.length) + 1;
      this.nPages = span.end === null ? this.page : Math.ceil((span.end - span.zero) / span.length);
    }
    this.span = span;
    return span;
  }

  /** Seconds from the left edge to the newest sample. */
  get pen_s(): number {
    const ring = this.station.ring;
    return this.span && ring ? (ring.end - this.span.first) / ring.rate_Hz : 0;
  }

  /** Sample of the stream at a time of the sheet. */
  indexAt(time_s: number): number | null {
    const { span } = this;
    const rate_Hz = this.station.ring?.rate_Hz ?? 0;
    return span ? span.zero + Math.floor(time_s * rate_Hz) : null;
  }

  /** A time of the stream on this sheet's clock. */
  timeOnSheet(time_s: number): number {
    const rate_Hz = this.station.ring?.rate_Hz ?? 0;
    return this.span && rate_Hz > 0 ? time_s - this.span.zero / rate_Hz : Number.NaN;
  }
}
