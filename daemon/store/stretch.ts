/** Consecutive places of a recording in memory: raw columns that grow, NaN where no sample came. */
import type { StreamBlock, StreamFormat } from '../../shared/block/block.ts';

const FIRST_CAPACITY = 1 << 16;

export class Stretch {
  readonly format: StreamFormat;
  /** Index of the first place, and its time since the recording's first sample. */
  readonly firstIndex: number;
  readonly #timeFrom: TimeBase;
  #columns: Float64Array[];
  #n = 0;

  constructor(first: StreamBlock, timeFrom: TimeBase) {
    this.format = first.format;
    this.firstIndex = first.index;
    this.#timeFrom = timeFrom;
    this.#columns = first.columns.map(() => new Float64Array(FIRST_CAPACITY));
    this.add(first);
  }

  /** Blocks in order; the places between two of them are NaN. */
  add(block: StreamBlock): void {
    const from = block.index - this.firstIndex;
    this.#reserve(from + block.n);
    this.#columns.forEach((column, c) => {
      column.fill(Number.NaN, this.#n, from);
      const values = block.columns[c];
      if (values !== undefined) column.set(values, from);
    });
    this.#n = from + block.n;
  }

  get endIndex(): number {
    return this.firstIndex + this.#n;
  }

  get columns(): Float64Array[] {
    return this.#columns.map((column) => column.subarray(0, this.#n));
  }

  get time_s(): Float64Array {
    const { index, time_s } = this.#timeFrom;
    const { rate_Hz } = this.format;
    const first = this.firstIndex - index;
    return Float64Array.from({ length: this.#n }, (_, i) => time_s + (first + i) / rate_Hz);
  }

  /** Where time is counted from in a following stretch with this format. */
  timeFromFor(next: StreamFormat): TimeBase {
    if (next.rate_Hz === this.format.rate_Hz) return this.#timeFrom;
    const { index, time_s } = this.#timeFrom;
    const end = this.endIndex;
    return { index: end, time_s: time_s + (end - index) / this.format.rate_Hz };
  }

  #reserve(places: number): void {
    let capacity = this.#columns[0]?.length ?? places;
    if (places <= capacity) return;
    while (capacity < places) capacity *= 2;
    this.#columns = this.#columns.map((column) => {
      const grown = new Float64Array(capacity);
      grown.set(column);
      return grown;
    });
  }
}

/** The time of one index; all others follow at the rate. */
export interface TimeBase {
  readonly index: number;
  readonly time_s: number;
}
