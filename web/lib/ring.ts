/**
 * The newest samples of every live column, by their index in the stream, outside any rune.
 * A hole in the stream is kept as NaN; what is older than the capacity is forgotten.
 */
import type { LiveBlock } from '../../shared/wire/block-codec.ts';

/** Longest history: 4 Mi samples a column (7 min at 10 kHz) is 16 MB, enough for any sheet. */
const MOST_SAMPLES = 2 ** 22;
/** Shortest history, so that a loop and a crosshair always have something behind them. */
const LEAST_SAMPLES = 2 ** 14;
/** Stretches that this page left out; older ones are off every sheet by then. */
const MOST_UNSEEN = 64;

export const MUSCLE_TORQUE = 'muscleTorque_Nm';

export class Ring {
  /** Index after the newest sample; -1 before the first block. */
  end = -1;
  /** Index of the oldest sample that is still kept. */
  begin = -1;
  rate_Hz = 0;
  /** Goes up when anything but the newest samples changes: a new stream, or history filled in. */
  edition = 0;
  /** Stretches the station has and this page was not sent, half-open: not lost, only not here. */
  readonly unseen: { readonly from: number; readonly to: number }[] = [];
  readonly names: readonly string[];
  private readonly mask: number;
  private readonly columns: readonly Float32Array[];

  /** Keeps at least `nSamples` (bounded) of each named column. */
  constructor(names: readonly string[], nSamples: number) {
    const wanted = Math.min(MOST_SAMPLES, Math.max(LEAST_SAMPLES, nSamples));
    const capacity = 2 ** Math.ceil(Math.log2(wanted));
    this.names = names;
    this.mask = capacity - 1;
    this.columns = names.map(() => new Float32Array(capacity).fill(Number.NaN));
  }

  get capacity(): number {
    return this.mask + 1;
  }

  /** Takes the next block; one from before the newest sample, or at a new rate, starts anew. */
  push(block: LiveBlock): void {
    if (this.end < 0 || block.index < this.end || block.rate_Hz !== this.rate_Hz) {
      this.begin = block.index;
      this.end = block.index;
      this.rate_Hz = block.rate_Hz;
      this.unseen.length = 0;
      this.edition += 1;
    }
    const end = block.index + block.n * block.step;
    this.fill(Math.max(this.end, end - this.capacity), block.index, null);
    this.fill(block.index, end, block);
    this.end = end;
    this.begin = Math.max(this.begin, end - this.capacity);
  }

  /** Puts older samples before those that are kept, e.g. the part of a set before a reload. */
  backfill(block: LiveBlock): void {
    const first = Math.max(block.index, this.end - this.capacity);
    if (this.end < 0 || block.rate_Hz !== this.rate_Hz || first >= this.begin) return;
    const end = Math.min(this.begin, block.index + block.n * block.step);
    this.fill(first, end, block);
    this.fill(end, this.begin, null);
    this.begin = first;
    this.edition += 1;
  }

  leftOut(from: number, to: number): void {
    this.unseen.push({ from, to });
    if (this.unseen.length > MOST_UNSEEN) this.unseen.shift();
  }

  /** NaN for a sample that was lost, is not kept or has not come. */
  at(column: number, index: number): number {
    if (index < this.begin || index >= this.end) return Number.NaN;
    return this.columns[column]?.[index & this.mask] ?? Number.NaN;
  }

  /** Position of a column by name, -1 when the station has none of that name. */
  columnOf(name: string): number {
    return this.names.indexOf(name);
  }

  /** The torque people see: the muscles' where the limb was weighed, else as it was read. */
  get torqueColumn(): number {
    const muscle = this.columnOf(MUSCLE_TORQUE);
    return muscle >= 0 ? muscle : this.columnOf('torque_Nm');
  }

  /** A coarse block's value stands for `step` samples; without a block it is NaN. */
  private fill(first: number, end: number, block: LiveBlock | null): void {
    for (let c = 0; c < this.columns.length; c += 1) {
      const to = this.columns[c];
      const from = block?.columns[c];
      if (!to) continue;
      for (let i = first; i < end; i += 1) {
        const k = block ? Math.floor((i - block.index) / block.step) : 0;
        to[i & this.mask] = from?.[k] ?? Number.NaN;
      }
    }
  }
}
