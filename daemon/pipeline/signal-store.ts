/**
 * Calibrated samples of the set that is being recorded, in memory that the analysis thread can read
 * without a copy. Ten minutes at most, then the older half goes: a longer set's live numbers are of its
 * end only. The settled ones are computed from the recording and are of all of it.
 */
import type { Signal } from '../../shared/analysis-types.ts';
import type { Block } from '../../shared/block/block.ts';

const MOST_s = 600;
const FIRST_CAPACITY = 1 << 15;
/** As when a recording is read: a short hole is rows of NaN, in a long one time itself jumps. */
const LONGEST_NAN_s = 10;
const MECHANICAL = ['torque_Nm', 'angle_deg', 'velocity_degps'];

export interface SignalStoreOptions {
  /** Stream index of the recording's first sample: times count from there. */
  readonly firstIndex: number;
  /** Columns that the device measures, asked at the first block: a computed velocity is not kept. */
  readonly measured: () => readonly string[];
}

export interface SignalStore {
  add(block: Block): void;
  /** Views of what is there now; what is added later does not change them. Null before any torque. */
  signal(): Signal | null;
}

export function createSignalStore({ firstIndex, measured }: SignalStoreOptions): SignalStore {
  let columns: Map<string, Float64Array<SharedArrayBuffer>> | null = null;
  let time_s = shared(0);
  let n = 0;
  let rate_Hz = 0;
  /** Index of the sample that comes next. */
  let next = 0;

  const begin = (block: Block): void => {
    rate_Hz = block.rate_Hz;
    n = 0;
    time_s = shared(FIRST_CAPACITY);
    const known = measured();
    const wanted = MECHANICAL.filter((name) => known.includes(name));
    const present = wanted.filter((name) => block.columns.has(name));
    columns = new Map(present.map((name) => [name, shared(FIRST_CAPACITY)]));
  };
  /** New memory, since the analysis may still read the old; at the limit the older half goes. */
  const makeRoom = (): void => {
    const most = Math.max(FIRST_CAPACITY, Math.ceil(MOST_s * rate_Hz));
    const capacity = Math.min(most, 2 * time_s.length);
    const from = capacity === time_s.length ? Math.ceil(n / 2) : 0;
    const moved = (old: Float64Array): Float64Array<SharedArrayBuffer> => {
      const grown = shared(capacity);
      grown.set(old.subarray(from, n));
      return grown;
    };
    time_s = moved(time_s);
    for (const [name, column] of columns ?? []) columns?.set(name, moved(column));
    n -= from;
  };

  /** `values` null gives rows of NaN. */
  const append = (index: number, count: number, values: Block['columns'] | null): void => {
    while (n + count > time_s.length) makeRoom();
    for (const [name, column] of columns ?? []) {
      const given = values?.get(name);
      if (given) column.set(given.subarray(0, count), n);
      else column.fill(NaN, n, n + count);
    }
    for (let i = 0; i < count; i += 1) time_s[n + i] = (index + i - firstIndex) / rate_Hz;
    n += count;
    next = index + count;
  };

  return {
    add(block) {
      if (!columns || block.rate_Hz !== rate_Hz) begin(block);
      const hole = n === 0 ? 0 : block.index - next;
      if (hole > 0 && hole <= LONGEST_NAN_s * rate_Hz) append(next, hole, null);
      append(block.index, block.n, block.columns);
    },
    signal() {
      const torque_Nm = columns?.get('torque_Nm');
      if (!torque_Nm || n === 0) return null;
      return {
        rate_Hz,
        time_s: time_s.subarray(0, n),
        torque_Nm: torque_Nm.subarray(0, n),
        angle_deg: columns?.get('angle_deg')?.subarray(0, n) ?? null,
        velocity_degps: columns?.get('velocity_degps')?.subarray(0, n) ?? null,
        flags: [],
      };
    },
  };
}

function shared(length: number): Float64Array<SharedArrayBuffer> {
  return new Float64Array(new SharedArrayBuffer(8 * length));
}
