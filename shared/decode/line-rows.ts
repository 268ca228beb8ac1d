/**
 * Rows of numbers -> raw blocks: finds the sample rate when nobody says it, places each row by its
 * stamp, and notices when the stamps tell another rate than the one that is believed.
 */
import type { StreamFormat } from '../block/block.ts';
import { BlockBuilder, blockSamplesOf } from './block-builder.ts';
import type { Counting } from './counts.ts';
import type { DecoderHints, DecoderSink, TimeField } from './index.ts';
import type { LineLayout } from './line-names.ts';
import { StampClock } from './stamp-clock.ts';
import { meantRate, rateOfStamps } from './stamp-rate.ts';

/** Units of a time stamp in a second, and where its counter may come round to zero. */
const STAMPS: Readonly<Record<TimeField, { perSecond: number; wraps: readonly number[] }>> = {
  time_s: { perSecond: 1, wraps: [2 ** 32 / 1e6, 2 ** 32 / 1e3] },
  time_ms: { perSecond: 1e3, wraps: [2 ** 32 / 1e3, 2 ** 32] },
  time_us: { perSecond: 1e6, wraps: [2 ** 32, 2 ** 32 * 1e3] },
  sample: { perSecond: Number.NaN, wraps: [2 ** 16, 2 ** 32] },
};

/** Rows that wait until an unknown rate is found: enough of them, and long enough, but not too many. */
const WAIT_MIN_ROWS = 64;
const WAIT_MIN_S = 0.5;
const WAIT_MAX_ROWS = 512;
/** Rows over which stamps and believed rate are compared; two such spans must agree on another rate. */
const WATCH_ROWS = 64;
/** Below this difference a look at the mean step is enough. */
const WATCH_MEAN = 0.02;
/** Another rate is one that the following of stamps cannot bridge. */
const OTHER_RATE = 0.05;
const SAME_RATE = 0.02;

export class RowBlocks {
  readonly #hints: DecoderHints;
  readonly #sink: DecoderSink;
  readonly #counts: Counting;
  readonly #builder: BlockBuilder;
  #layout: LineLayout | null = null;
  #notes: Readonly<Record<string, string>> = {};
  #isAnnounced = false;
  #format: StreamFormat | null = null;
  #run = -1;
  #clock: StampClock | null = null;
  #waiting = new Float64Array(0);
  #nWaiting = 0;
  readonly #stamps = new Float64Array(WAIT_MAX_ROWS);
  #nStamps = 0;
  #suspected_Hz = 0;

  constructor(hints: DecoderHints, sink: DecoderSink, counts: Counting) {
    this.#hints = hints;
    this.#sink = sink;
    this.#counts = counts;
    this.#builder = new BlockBuilder((block) => sink.block(block));
  }

  /** Null while it is not known. */
  get rate_Hz(): number | null {
    return this.#format?.rate_Hz ?? null;
  }

  /** Rows of these columns follow; without a rate their stamps will tell it. */
  begin(layout: LineLayout, rate_Hz: number | null, notes: Readonly<Record<string, string>>): void {
    this.#layout = layout;
    this.#notes = notes;
    this.#isAnnounced = rate_Hz !== null;
    this.#clock?.release();
    this.#clock = null;
    this.#format = null;
    this.#waiting = new Float64Array(0);
    this.#nWaiting = 0;
    if (rate_Hz !== null) this.#start(layout, rate_Hz);
  }

  /** One row with as many numbers as the layout has columns. It is copied. */
  push(row: Float64Array): void {
    if (Number.isNaN(row[0])) return this.#drop('damaged');
    if (this.#clock === null) return this.#wait(row);
    this.#watch(row[0]);
    this.#clock.push(row);
  }

  flush(): void {
    this.#builder.flush();
  }

  #start(layout: LineLayout, rate_Hz: number): void {
    const { channels, time } = layout;
    const format = { rate_Hz, channels, integrity: 'text', notes: this.#notes } as const;
    this.#format = format;
    this.#nStamps = 0;
    this.#suspected_Hz = 0;
    this.#beginRun(format);
    const { perSecond, wraps } = STAMPS[time];
    const perUnit = time === 'sample' ? 1 : rate_Hz / perSecond;
    this.#clock = new StampClock(
      {
        place: (row, index) => this.#place(row, index),
        hole: (nSamples) => {
          // What came before the hole is given before it is told.
          this.#builder.flush();
          this.#counts.lostSamples += nSamples;
          this.#sink.fault('samplesLost', `${nSamples} samples`, 1);
        },
        restart: () => {
          this.#beginRun(format);
          this.#sink.fault('clockRestarted', '', 1);
        },
        drop: (_row, why) => this.#drop(why),
      },
      { perUnit, rate_Hz, nFields: channels.length, wraps },
    );
  }

  #beginRun(format: StreamFormat): void {
    this.#run += 1;
    const capacity = blockSamplesOf(format.rate_Hz, this.#hints.blockSamples);
    this.#builder.begin(format, this.#run, capacity);
  }

  #place(row: Float64Array, index: number): void {
    const builder = this.#builder;
    builder.room(index);
    const { columns, at } = builder;
    for (let c = 0; c < columns.length; c += 1) columns[c][at] = row[c];
    builder.add(1);
    this.#counts.frames += 1;
    this.#counts.samples += 1;
  }

  #drop(why: 'duplicate' | 'damaged'): void {
    if (why === 'duplicate') {
      this.#counts.frames += 1;
      this.#counts.duplicateSamples += 1;
      this.#sink.fault('samplesDuplicate', '1 sample', 1);
    } else if (this.#counts.samples > 0) {
      this.#counts.damagedFrames += 1;
      this.#sink.fault('frameDamaged', 'its time does not fit the lines around it', 1);
    }
  }

  #wait(row: Float64Array): void {
    const layout = this.#layout;
    if (layout === null) return;
    if (layout.time === 'sample') {
      const detail = 'the sample rate is not known: print "# rate_Hz: 1000" or add rate=1000';
      return this.#sink.fault('sourceUnreadable', detail, 1);
    }
    const nFields = layout.channels.length;
    if (this.#nWaiting === 0) this.#waiting = new Float64Array(WAIT_MAX_ROWS * nFields);
    this.#waiting.set(row.subarray(0, nFields), this.#nWaiting * nFields);
    this.#stamps[this.#nWaiting] = row[0];
    this.#nWaiting += 1;
    const n = this.#nWaiting;
    if (n < WAIT_MIN_ROWS) return;
    const { perSecond } = STAMPS[layout.time];
    const span_s = (row[0] - this.#stamps[0]) / perSecond;
    if (span_s < WAIT_MIN_S && n < WAIT_MAX_ROWS) return;
    const found = rateOfStamps(this.#stamps, n);
    const waiting = this.#waiting;
    this.#nWaiting = 0;
    if (found === null) {
      return this.#sink.fault('sourceUnreadable', 'the time stamps tell no sample rate', 1);
    }
    this.#start(layout, meantRate(found, perSecond));
    for (let k = 0; k < n; k += 1) this.push(waiting.subarray(k * nFields, (k + 1) * nFields));
  }

  /** Two spans of stamps in a row that agree on another rate change it. */
  #watch(stamp: number): void {
    this.#stamps[this.#nStamps] = stamp;
    this.#nStamps += 1;
    if (this.#nStamps < WATCH_ROWS || this.#layout === null || this.#format === null) return;
    this.#nStamps = 0;
    const { perSecond } = STAMPS[this.#layout.time];
    const before_Hz = this.#format.rate_Hz;
    const span_s = (stamp - this.#stamps[0]) / perSecond;
    const mean_Hz = (WATCH_ROWS - 1) / span_s;
    if (!(Math.abs(mean_Hz / before_Hz - 1) > WATCH_MEAN)) return;
    const found = rateOfStamps(this.#stamps, WATCH_ROWS);
    const rate_Hz = found === null ? before_Hz : meantRate(found, perSecond);
    const isOther = Math.abs(rate_Hz / before_Hz - 1) > OTHER_RATE;
    const isSuspected = Math.abs(rate_Hz / this.#suspected_Hz - 1) < SAME_RATE;
    this.#suspected_Hz = isOther ? rate_Hz : 0;
    if (!isOther || !isSuspected) return;
    const code = this.#isAnnounced ? 'headerContradiction' : 'rateChanged';
    this.#sink.fault(code, `${before_Hz} Hz, its time stamps say ${rate_Hz} Hz`, 1);
    this.#isAnnounced = false;
    this.#clock?.release();
    this.#start(this.#layout, rate_Hz);
  }
}
