/**
 * Gathers samples into raw blocks. Many blocks share one slab of memory; nothing is allocated a sample.
 * A block is emitted when it is full, when a sample does not follow the one before, and by `flush`.
 */
import type { RawBlock, StreamFormat } from '../block/block.ts';

/** What a block holds when nobody asks for another length: short for the eye, long for the processor. */
const BLOCK_S = 0.02;
/** A jump forward beyond this is a clock that was set or started anew, not a pause. */
export const MAX_HOLE_S = 600;
/** Values in a slab (16 KiB): a small typed array of its own costs ten times a view. */
const SLAB_VALUES = 2048;

export function blockSamplesOf(rate_Hz: number, hint: number | undefined): number {
  return Math.max(1, Math.round(hint ?? rate_Hz * BLOCK_S));
}

export class BlockBuilder {
  /** Columns of the block in the making; its samples are written at `at` and then `add`ed. */
  columns: readonly Float64Array[] = [];
  at = 0;
  readonly #emit: (block: RawBlock) => void;
  #format: StreamFormat | null = null;
  #run = 0;
  #capacity = 0;
  /** Where in the columns the block begins: what `flush` emitted lies before it. */
  #start = 0;
  #slab = new Float64Array(0);
  #slabAt = 0;
  #next = 0;

  constructor(emit: (block: RawBlock) => void) {
    this.#emit = emit;
  }

  /** The samples from here on are of this format and run, in blocks of at most `capacity`. */
  begin(format: StreamFormat, run: number, capacity: number): void {
    this.flush();
    this.#format = format;
    this.#run = run;
    this.#capacity = capacity;
    this.#renew(format.channels.length);
  }

  /** How many samples from index `first` on can be written at `at`; at least 1. */
  room(first: number): number {
    if (first !== this.#next) {
      this.flush();
      this.#next = first;
    }
    return this.#capacity - this.at;
  }

  /** The n samples at `at` are written. */
  add(n: number): void {
    this.at += n;
    this.#next += n;
    if (this.at === this.#capacity) this.flush();
  }

  /** Emits what is gathered, if anything. */
  flush(): void {
    const { at, columns } = this;
    const start = this.#start;
    const n = at - start;
    if (this.#format === null || n === 0) return;
    const isFull = at === this.#capacity;
    const block: RawBlock = {
      format: this.#format,
      run: this.#run,
      first: this.#next - n,
      n,
      columns: n === this.#capacity ? columns : columns.map((column) => column.subarray(start, at)),
    };
    this.#start = at;
    if (isFull) this.#renew(columns.length);
    this.#emit(block);
  }

  #renew(nChannels: number): void {
    const capacity = this.#capacity;
    if (this.#slabAt + nChannels * capacity > this.#slab.length) {
      this.#slab = new Float64Array(Math.max(SLAB_VALUES, nChannels * capacity));
      this.#slabAt = 0;
    }
    const columns: Float64Array[] = [];
    for (let c = 0; c < nChannels; c += 1) {
      columns.push(new Float64Array(this.#slab.buffer, this.#slabAt * 8, capacity));
      this.#slabAt += capacity;
    }
    this.columns = columns;
    this.at = 0;
    this.#start = 0;
  }
}
