/**
 * A curve thinned to what pixels can show while it grows: first, least, most and last of each pixel
 * column. A stroke through these four looks the same as a stroke through every sample, whatever the
 * rate, and a redraw costs the width of the paper instead of the number of samples.
 */

export const POINTS_A_COLUMN = 4;

/** A run of missing samples, half-open, counted from the start of the sheet. */
export interface Hole {
  readonly first: number;
  readonly end: number;
}

export class Envelope {
  /** Points that are filled, for `x` and `y`. */
  nPoints = 0;
  /** Samples taken so far, missing ones included. */
  nSamples = 0;
  /** Runs of missing samples; the last may still be growing. */
  readonly holes: Hole[] = [];
  readonly x_s: Float64Array;
  readonly y: Float32Array;
  private column = -1;
  private least = 0;
  private most = 0;
  private readonly samplesAColumn: number;
  private readonly rate_Hz: number;

  /** For `length` samples at `rate_Hz` on paper that is `width` pixels wide. */
  constructor(size: { length: number; rate_Hz: number; width: number }) {
    const columns = Math.max(1, Math.min(Math.round(size.width), size.length));
    this.samplesAColumn = Math.max(1, size.length / columns);
    this.rate_Hz = size.rate_Hz;
    const capacity = (columns + 1) * POINTS_A_COLUMN;
    this.x_s = new Float64Array(capacity);
    this.y = new Float32Array(capacity).fill(Number.NaN);
  }

  /** Appends the next sample; NaN is a missing one and is never bridged. */
  push(value: number): void {
    const sample = this.nSamples;
    this.nSamples += 1;
    const column = Math.floor(sample / this.samplesAColumn);
    if (column !== this.column) this.open(column, sample / this.rate_Hz);
    if (Number.isNaN(value)) this.miss(sample);
    else this.take(value);
  }

  /** Passes over a sample that this page does not know: neither a value nor a loss. */
  skip(): void {
    const column = Math.floor(this.nSamples / this.samplesAColumn);
    if (column !== this.column) this.open(column, this.nSamples / this.rate_Hz);
    this.nSamples += 1;
  }

  private open(column: number, time_s: number): void {
    this.column = column;
    const p = column * POINTS_A_COLUMN;
    if (p + POINTS_A_COLUMN > this.x_s.length) return;
    this.x_s.fill(time_s, p, p + POINTS_A_COLUMN);
    this.y.fill(Number.NaN, p, p + POINTS_A_COLUMN);
    this.nPoints = p + POINTS_A_COLUMN;
  }

  private take(value: number): void {
    const p = this.column * POINTS_A_COLUMN;
    const { y } = this;
    if (p + POINTS_A_COLUMN > y.length) return;
    if (Number.isNaN(y[p])) {
      y.fill(value, p, p + POINTS_A_COLUMN);
      this.least = value;
      this.most = value;
      return;
    }
    if (value < this.least) {
      this.least = value;
      y[p + 1] = this.most;
      y[p + 2] = value;
    } else if (value > this.most) {
      this.most = value;
      y[p + 1] = this.least;
      y[p + 2] = value;
    }
    y[p + 3] = value;
  }

  private miss(sample: number): void {
    const last = this.holes.at(-1);
    if (last?.end === sample) this.holes[this.holes.length - 1] = { ...last, end: sample + 1 };
    else this.holes.push({ first: sample, end: sample + 1 });
  }
}
