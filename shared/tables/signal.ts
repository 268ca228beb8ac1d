/**
 * A table as a signal: its time made sure of, turned columns turned, what is odd about time flagged.
 * Uneven stamps stay as they are; rows whose time does not go on are left out and told.
 */
import type { Signal } from '../analysis-types.ts';
import type { Flag } from '../flags/flag.ts';
import { rateOff_pct, rateOffFlag } from '../flags/rate-off.ts';
import { duplicateFlag, timeReversedFlag } from '../flags/reading.ts';
import { FLAG_THRESHOLDS } from '../flags/thresholds.ts';
import type { Quantity } from './columns.ts';
import type { Table } from './read-table.ts';

/** More rows out of order than this and the table is not in order at all: refused, not thinned. */
const MOST_REVERSED_SHARE = 0.01;
/** More repeated stamps than this are too few digits, not rows that came twice. */
const MOST_REPEATED_SHARE = 0.1;
const STEPS_LOOKED_AT = 20_001;
/** Steps longer than this many usual ones are holes and do not tell the rate. */
const HOLE = 1.5;

export interface SignalOptions {
  /** `--rate`: needed where there is no time column; where there is one, its stamps are the truth. */
  readonly rate_Hz?: number;
  /** `--sign`: columns to turn. */
  readonly sign?: Partial<Record<Quantity, 1 | -1>>;
}

type Read<T> = T | { readonly problem: string };

export function tableSignal(table: Table, options: SignalOptions): Read<{ signal: Signal }> {
  const { torque, angle, velocity, time, index } = table.columns;
  if (!torque) {
    return { problem: 'no column torque_Nm: name it with --columns torque=NAME' };
  }
  if (torque.length === 0) return { problem: 'the table has a header but no rows' };
  const { rate_Hz: stated_Hz } = options;
  const isCoarse = time !== undefined && stated_Hz !== undefined && repeats(time);
  const usable = isCoarse ? undefined : time;
  const timed = timeOf({ time: usable, index, n: torque.length, rate_Hz: stated_Hz });
  if ('problem' in timed) return timed;
  const kept = advancing(timed.time_s, table);
  if ('problem' in kept) return kept;
  const time_s = kept.rows === null ? timed.time_s : pick(timed.time_s, kept.rows);
  const measured_Hz = rateOf(time_s);
  const rate_Hz = measured_Hz ?? stated_Hz ?? null;
  if (rate_Hz === null) {
    return { problem: 'one row tells no sample rate: give --rate HZ' };
  }
  const flags = [...kept.flags];
  if (stated_Hz !== undefined && isOff(rate_Hz, stated_Hz)) {
    flags.push(rateOffFlag(rate_Hz, stated_Hz, time_s[0], time_s[time_s.length - 1]));
  }
  const column = (values: Float64Array, quantity: Quantity) =>
    turned(kept.rows === null ? values : pick(values, kept.rows), options.sign?.[quantity] ?? 1);
  return {
    signal: {
      rate_Hz,
      time_s,
      torque_Nm: column(torque, 'torque'),
      angle_deg: angle ? column(angle, 'angle') : null,
      velocity_degps: velocity ? column(velocity, 'velocity') : null,
      flags,
    },
  };
}

interface Times {
  readonly time: Float64Array | undefined;
  readonly index: Float64Array | undefined;
  readonly n: number;
  readonly rate_Hz: number | undefined;
}

function timeOf({ time, index, n, rate_Hz }: Times): Read<{ time_s: Float64Array }> {
  if (time) return { time_s: time };
  if (rate_Hz === undefined) {
    return {
      problem:
        'no column time_s: name it with --columns time=NAME, or give --rate HZ for even samples',
    };
  }
  const time_s = new Float64Array(n);
  for (let i = 0; i < n; i += 1) time_s[i] = (index ? index[i] : i) / rate_Hz;
  return { time_s };
}

interface Kept {
  /** Rows to keep; null when all are. */
  readonly rows: Int32Array | null;
  readonly flags: readonly Flag[];
}

/** Rows whose time is later than all before; repeated and reversed ones are flagged and left out. */
function advancing(time_s: Float64Array, table: Table): Read<Kept> {
  const n = time_s.length;
  let latest = -Infinity;
  let nKept = 0;
  const duplicates = { n: 0, start_s: 0, end_s: 0 };
  const reversed = { n: 0, start_s: 0, back_s: 0, row: 0 };
  for (let i = 0; i < n; i += 1) {
    const t = time_s[i];
    if (t > latest) {
      latest = t;
      nKept += 1;
      continue;
    }
    if (Number.isNaN(t)) {
      return { problem: `line ${String(table.lineOf(i))}: the time is missing: remove the line` };
    }
    if (t === latest) {
      if (duplicates.n === 0) duplicates.start_s = t;
      duplicates.n += 1;
      duplicates.end_s = t;
    } else {
      if (reversed.n === 0) {
        reversed.start_s = latest;
        reversed.row = i;
      }
      reversed.n += 1;
      reversed.back_s = Math.max(reversed.back_s, latest - t);
    }
  }
  if (nKept === n) return { rows: null, flags: [] };
  if (duplicates.n > MOST_REPEATED_SHARE * n) {
    const rows = `${String(duplicates.n)} of ${String(n)} rows`;
    return {
      problem: `the time of ${rows} repeats: its stamps have too few digits: give --rate HZ`,
    };
  }
  if (reversed.n > MOST_REVERSED_SHARE * n) {
    const line = table.lineOf(reversed.row);
    return {
      problem: `time goes back at line ${String(line)} and does not recover: sort the rows`,
    };
  }
  const flags: Flag[] = [];
  if (duplicates.n > 0) {
    flags.push(duplicateFlag(duplicates.n, duplicates.start_s, duplicates.end_s));
  }
  if (reversed.n > 0) flags.push(timeReversedFlag(reversed.back_s, reversed.start_s));
  return { rows: keptRows(time_s, nKept), flags };
}

/** True when the stamps have too few digits to tell the samples apart. */
function repeats(time_s: Float64Array): boolean {
  let n = 0;
  for (let i = 1; i < time_s.length; i += 1) if (time_s[i] === time_s[i - 1]) n += 1;
  return n > MOST_REPEATED_SHARE * time_s.length;
}

function keptRows(time_s: Float64Array, nKept: number): Int32Array {
  const rows = new Int32Array(nKept);
  let latest = -Infinity;
  let k = 0;
  for (let i = 0; i < time_s.length; i += 1) {
    if (!(time_s[i] > latest)) continue;
    latest = time_s[i];
    rows[k] = i;
    k += 1;
  }
  return rows;
}

function pick(values: Float64Array, rows: Int32Array): Float64Array {
  const out = new Float64Array(rows.length);
  for (let k = 0; k < rows.length; k += 1) out[k] = values[rows[k]];
  return out;
}

function turned(values: Float64Array, sign: 1 | -1): Float64Array {
  if (sign === -1) for (let i = 0; i < values.length; i += 1) values[i] = -values[i];
  return values;
}

/**
 * Samples a second: the usual steps counted over the time they took, so that stamps printed with few
 * digits average out. Null for fewer than two rows.
 */
function rateOf(time_s: Float64Array): number | null {
  const n = time_s.length;
  if (n < 2) return null;
  const stride = Math.max(1, Math.floor((n - 1) / STEPS_LOOKED_AT));
  const steps = new Float64Array(Math.floor((n - 2) / stride) + 1);
  for (let k = 0; k < steps.length; k += 1) {
    steps[k] = time_s[k * stride + 1] - time_s[k * stride];
  }
  const usual = steps.sort()[steps.length >> 1];
  let taken = 0;
  let count = 0;
  for (let i = 1; i < n; i += 1) {
    const step = time_s[i] - time_s[i - 1];
    if (step > HOLE * usual) continue;
    taken += step;
    count += 1;
  }
  return Number((count / taken).toPrecision(8));
}

function isOff(measured_Hz: number, rate_Hz: number): boolean {
  return Math.abs(rateOff_pct(measured_Hz, rate_Hz)) > FLAG_THRESHOLDS.rateOff_pct;
}
