/**
 * Finds the index of each row of text from its own time stamp or count, so a lost line is a hole of
 * exact length. A stamp that does not follow is believed only when the row after it agrees: one
 * damaged digit makes neither a hole nor a new run. Late rows that are caught up are no hole.
 */
import { MAX_HOLE_S } from './block-builder.ts';

/** A row is near another when it is at most this many samples later. */
const NEAR = 16;
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
  #isHolding = false;
  #held = 0;
  readonly #heldRow: Float64Array;

  constructor(sink: StampSink, scale: StampScale) {
    this.#sink = sink;
    this.#scale = scale;
    this.#lastRow = new Float64Array(scale.nFields);
    this.#heldRow = new Float64Array(scale.nFields);
    this.#window = (WRAP_WINDOW_S * scale.rate_Hz) / scale.perUnit;
  }

  /** `row[0]` is the stamp. Rows come back through the sink, in order, at most one row later. */
  push(row: Float64Array): void {
    const stamp = this.#unwrapped(row[0]);
    if (this.#isHolding) {
      this.#isHolding = false;
      this.#resolve(this.#held, this.#heldRow, stamp);
      // What the held row was may have changed how this one reads.
      return this.push(row);
    }
    const ahead = (stamp - this.#expected) * this.#scale.perUnit;
    const step = (stamp - this.#last) * this.#scale.perUnit;
    const isNext = Math.abs(ahead) < 0.5 || (ahead < 0 && Math.abs(step - 1) < 0.5);
    if (this.#isRunning && isNext) return this.#place(row, stamp, ahead);
    this.#isHolding = true;
    this.#held = stamp;
    copyRow(row, this.#heldRow);
  }

  /** No row follows on this clock: a row still held is placed as the next. */
  release(): void {
    if (this.#isHolding && this.#isRunning) this.#place(this.#heldRow, this.#held, 0);
    this.#isHolding = false;
  }

  /** Decides on the held row, now that the stamp of the one after it is known. */
  #resolve(held: number, row: Float64Array, after: number): void {
    const { perUnit, rate_Hz } = this.#scale;
    const stepAfter = (after - held) * perUnit;
    const isFollowed = stepAfter >= 0 && stepAfter <= NEAR;
    if (!this.#isRunning) return isFollowed ? this.#start(row) : this.#drop(row);
    const heldAhead = (held - this.#expected) * perUnit;
    /** Where the row after would be with the held one left out; 1 when the held one is the next. */
    const afterAhead = (after - this.#expected) * perUnit;
    const isAfterNext = Math.abs(afterAhead) < 0.5;
    if (held < this.#last) {
      const goesOn = isAfterNext || (afterAhead > 0 && afterAhead <= NEAR);
      return isFollowed && !goesOn ? this.#restart(row) : this.#drop(row);
    }
    if (stepAfter >= 0 && Math.abs(afterAhead - 1) < 0.5) return this.#place(row, held, heldAhead);
    if (isAfterNext && (after < held || this.#isLast(row))) return this.#drop(row);
    if (!isFollowed) return this.#drop(row);
    const isCatchingUp = stepAfter < 0.5;
    if (heldAhead < 0.5 || isCatchingUp) return this.#place(row, held, heldAhead);
    if (heldAhead > MAX_HOLE_S * rate_Hz) return this.#restart(row);
    const lost = Math.round(heldAhead);
    this.#sink.hole(lost);
    this.#next += lost;
    this.#expected = held;
    this.#place(row, held, 0);
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

  #restart(row: Float64Array): void {
    this.#sink.restart();
    this.#start(row);
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
