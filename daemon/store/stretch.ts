/** Consecutive places of a recording in memory: raw columns that grow, NaN where no sample came. */
import type { StreamBlock, StreamFormat } from '../../shared/block/block.ts';
import type { IndexClock } from '../../shared/record/index-clock.ts';

const FIRST_CAPACITY = 1 << 16;

export class Stretch {
  readonly format: StreamFormat;
  readonly firstIndex: number;
  #columns: Float64Array[];
  #n = 0;

  constructor(first: StreamBlock) {
    this.format = first.format;
    this.firstIndex = first.index;
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

  /** Times of all places. */
  time_s(clock: IndexClock): Float64Array {
    return Float64Array.from({ length: this.#n }, (_, i) => clock(this.firstIndex + i));
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
