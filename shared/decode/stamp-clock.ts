/**
 * Finds the index of each row of text from its own time stamp or count, so a lost line is a hole of
 * exact length. A stamp that does not follow is believed only when the rows after it agree: damaged
 * digits make neither holes nor new runs. Late rows that are caught up are no hole.
 */
import { MAX_HOLE_S } from './block-builder.ts';

/** A row is near another when it is at most this many samples later. */
const NEAR = 16;
/** So many rows in a row must agree on another time before it is believed. */
const CONFIRMING_ROWS = 3;
/** A counter that comes round may lose this much on the way. */
const WRAP_WINDOW_S = 0.25;
/** How fast the expected stamp follows: rates that are wrong by up to 6 % are tracked. */
const FOLLOW = 1 / 8;
/** Indices stay whole numbers. */
const MAX_INDEX = 2 ** 52;

export interface StampSink {
  place(row: Float64Array, index: number): void;
  /** So many samples are missing before the row that is placed next. */
  hole(nSamples: number): void;
  /** The row that is placed next begins a new run of the device's clock. */
  restart(): void;
  drop(row: Float64Array, why: 'duplicate' | 'damaged'): void;
}

export interface StampScale {
  /** Samples a unit of the stamp; 1 for a counter. */
  readonly perUnit: number;
  readonly rate_Hz: number;
  /** Numbers in a row, the stamp included. */
  readonly nFields: number;
  /** Where the stamp may come round to zero, in its unit. */
  readonly wraps: readonly number[];
}

export class StampClock {
  readonly #sink: StampSink;
  readonly #scale: StampScale;
  readonly #window: number;
  #isRunning = false;
  /** Of the last placed row: its stamp with wraps undone, what that added, and its numbers. */
  #last = 0;
  #wrap = 0;
  readonly #lastRow: Float64Array;
  /** Stamp and index the next row should have. */
  #expected = 0;
  #next = 0;
  /** Rows that do not follow the last one but, beyond the first, each other. */
  readonly #held: readonly { stamp: number; readonly row: Float64Array }[];
  #nHeld = 0;

  constructor(sink: StampSink, scale: StampScale) {
    this.#sink = sink;
    this.#scale = scale;
    this.#lastRow = new Float64Array(scale.nFields);
    this.#held = Array.from({ length: CONFIRMING_ROWS }, () => ({
      stamp: 0,
      row: new Float64Array(scale.nFields),
    }));
    this.#window = (WRAP_WINDOW_S * scale.rate_Hz) / scale.perUnit;
  }

  /** `row[0]` is the stamp. Rows come back through the sink, in order, at most three rows later. */
  push(row: Float64Array): void {
    const stamp = this.#unwrapped(row[0]);
    if (this.#nHeld > 0) {
      if (this.#resolve(stamp)) return this.#hold(row, stamp);
      // What the held rows were may have changed how this one reads.
      return this.push(row);
    }
    const ahead = (stamp - this.#expected) * this.#scale.perUnit;
    const step = (stamp - this.#last) * this.#scale.perUnit;
    const isNext = Math.abs(ahead) < 0.5 || (ahead < 0 && Math.abs(step - 1) < 0.5);
    if (this.#isRunning && isNext) this.#place(row, stamp, ahead);
    else this.#hold(row, stamp);
  }

  /** No row follows on this clock: a row that waits for a small decision is placed as the next. */
  release(): void {
    const [{ row, stamp }] = this.#held;
    if (this.#nHeld === 1 && this.#isRunning && !this.#isFar(stamp)) {
      this.#place(row, stamp, 0);
    }
    this.#nHeld = 0;
  }

  #hold(row: Float64Array, stamp: number): void {
    const held = this.#held[this.#nHeld];
    held.stamp = stamp;
    copyRow(row, held.row);
    this.#nHeld += 1;
    if (this.#nHeld === CONFIRMING_ROWS) this.#believe();
  }

  /** Another time altogether: before the last row, or further ahead than a few lost lines. */
  #isFar(stamp: number): boolean {
    const ahead = (stamp - this.#expected) * this.#scale.perUnit;
    return this.#isRunning && (stamp < this.#last || ahead > NEAR);
  }

  /** Decides on the held rows by the stamp of the one after; true when it is to be held too. */
  #resolve(after: number): boolean {
    const { perUnit } = this.#scale;
    const [{ row, stamp }] = this.#held;
    const newest = this.#held[this.#nHeld - 1].stamp;
    const stepAfter = (after - newest) * perUnit;
    const isFollowed = stepAfter >= 0 && stepAfter <= NEAR;
    if (this.#isFar(stamp)) {
      const afterAhead = (after - this.#expected) * perUnit;
      const goesOn = afterAhead > -0.5 && afterAhead <= NEAR;
      if (isFollowed && !goesOn) return true;
      this.#dropHeld();
      return false;
    }
    this.#nHeld = 0;
    if (this.#isRunning) this.#resolveNear(row, stamp, after);
    else if (isFollowed) this.#start(row);
    else this.#drop(row);
    return false;
  }

  /** A row a few samples ahead or just behind: late, after a small hole, repeated or damaged. */
  #resolveNear(row: Float64Array, stamp: number, after: number): void {
    const { perUnit } = this.#scale;
    const stepAfter = (after - stamp) * perUnit;
    const ahead = (stamp - this.#expected) * perUnit;
    /** Where the row after would be with this one left out; 1 when this one is the next. */
    const afterAhead = (after - this.#expected) * perUnit;
    if (stepAfter >= 0 && Math.abs(afterAhead - 1) < 0.5) return this.#place(row, stamp, ahead);
    const isNotMissed = Math.abs(afterAhead) < 0.5 && (after < stamp || this.#isLast(row));
    if (isNotMissed || stepAfter < 0 || stepAfter > NEAR) return this.#drop(row);
    const isCatchingUp = stepAfter < 0.5;
    if (ahead < 0.5 || isCatchingUp) return this.#place(row, stamp, ahead);
    this.#skipTo(row, stamp, Math.round(ahead));
  }

  /** Enough rows agree: the device's clock did jump. */
  #believe(): void {
    const { perUnit, rate_Hz } = this.#scale;
    const rows = this.#held.map((held) => Float64Array.from(held.row));
    const [{ stamp }] = this.#held;
    const ahead = (stamp - this.#expected) * perUnit;
    this.#nHeld = 0;
    if (ahead > 0 && ahead <= MAX_HOLE_S * rate_Hz) {
      this.#skipTo(rows[0], stamp, Math.round(ahead));
    } else {
      this.#sink.restart();
      this.#start(rows[0]);
    }
    for (const row of rows.slice(1)) this.push(row);
  }

  #skipTo(row: Float64Array, stamp: number, lost: number): void {
    this.#sink.hole(lost);
    this.#next += lost;
    this.#expected = stamp;
    this.#place(row, stamp, 0);
  }

  #start(row: Float64Array): void {
    const index = Math.max(0, Math.round(row[0] * this.#scale.perUnit));
    if (!(index <= MAX_INDEX)) return this.#drop(row);
    this.#isRunning = true;
    this.#next = index;
    this.#expected = row[0];
    this.#wrap = 0;
    this.#place(row, row[0], 0);
  }

  #place(row: Float64Array, stamp: number, ahead: number): void {
    const { perUnit } = this.#scale;
    this.#expected += (1 + (Math.abs(ahead) < 0.5 ? FOLLOW * ahead : 0)) / perUnit;
    this.#last = stamp;
    this.#wrap = stamp - row[0];
    copyRow(row, this.#lastRow);
    this.#sink.place(row, this.#next);
    this.#next += 1;
  }

  #dropHeld(): void {
    const n = this.#nHeld;
    this.#nHeld = 0;
    for (let k = 0; k < n; k += 1) this.#drop(this.#held[k].row);
  }

  #drop(row: Float64Array): void {
    this.#sink.drop(row, this.#isRunning && this.#isLast(row) ? 'duplicate' : 'damaged');
  }

  #isLast(row: Float64Array): boolean {
    return this.#lastRow.every((value, c) => Object.is(value, row[c]));
  }

  #unwrapped(raw: number): number {
    const stamp = raw + this.#wrap;
    if (!this.#isRunning || stamp >= this.#last) return stamp;
    for (const wrap of this.#scale.wraps) {
      const step = stamp + wrap - this.#last;
      if (step > 0 && step <= this.#window) return stamp + wrap;
    }
    return stamp;
  }
}

function copyRow(from: Float64Array, to: Float64Array): void {
  for (let c = 0; c < to.length; c += 1) to[c] = from[c];
}
