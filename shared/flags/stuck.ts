/**
 * A channel repeats the very same number although a living signal would not: a dead cable, a held output.
 * Torque always carries noise. A still angle is told only when it ought to move and torque does.
 */
import type { QuantityName } from '../block/block.ts';
import type { Flag } from './flag.ts';
import type { LiveContext, LiveFlag, Watcher } from './index.ts';
import { ANY, type Scan } from './scan.ts';
import { columnWords, NO_FLAGS, together } from './watchers.ts';
import { tenths } from './words.ts';

export const stuck: LiveFlag = {
  kind: 'stuck',
  priority: 'medium',
  about: 'A channel repeats one and the same number while it ought to change.',
  create(context) {
    const isMoving = context.mode !== null && context.mode !== 'isometric';
    const torque = watchColumn('torque_Nm', null, context);
    return isMoving ? together([torque, watchColumn('angle_deg', 'torque_Nm', context)]) : torque;
  },
};

/** `witness` is a column that must have moved meanwhile; null asks for none. */
function watchColumn(
  column: QuantityName,
  witness: QuantityName | null,
  { rate_Hz, thresholds }: LiveContext,
): Watcher {
  const fewest = Math.max(2, Math.ceil(thresholds.stuck_s * rate_Hz));
  /** The run of equal samples that is going on; `least` and `most` are the witness's during it. */
  const run = { value: Number.NaN, start: 0, least: 0, most: 0, isTold: false };
  let newest = 0;

  const flag = (end: number): Flag =>
    stuckFlag(column, run.value, thresholds.stuck_s, run.start / rate_Hz, end / rate_Hz);

  function begin(value: number, at: number): void {
    run.value = value;
    run.start = at;
    run.least = Number.POSITIVE_INFINITY;
    run.most = Number.NEGATIVE_INFINITY;
    run.isTold = false;
  }

  function see(witnesses: Float64Array, first: number, end: number): void {
    for (let i = first; i < end; i += 1) {
      if (witnesses[i] < run.least) run.least = witnesses[i];
      if (witnesses[i] > run.most) run.most = witnesses[i];
    }
  }

  /** The block is too short for a run to become long enough in it: only where its last run begins counts. */
  function skip(values: Float64Array, witnesses: Float64Array | undefined, scan: Scan): void {
    let last = scan.n - 1;
    while (last > 0 && values[last] === values[last - 1]) last -= 1;
    if (last > 0 || values[0] !== run.value) begin(values[last], scan.index + last);
    if (witnesses !== undefined) see(witnesses, last, scan.n);
  }

  function walk(values: Float64Array, witnesses: Float64Array | undefined, scan: Scan): Flag[] {
    const out: Flag[] = [];
    for (let i = 0; i < scan.n; i += 1) {
      const at = scan.index + i;
      if (values[i] !== run.value) {
        if (run.isTold) out.push(flag(at));
        begin(values[i], at);
      }
      if (witnesses !== undefined) see(witnesses, i, i + 1);
      if (run.isTold || at - run.start + 1 < fewest) continue;
      if (witnesses !== undefined && !(run.most - run.least >= thresholds.stuckAngleTorque_Nm))
        continue;
      run.isTold = true;
      out.push(flag(run.start));
    }
    return out;
  }

  return {
    quiet: new Map([[column, ANY]]),
    push(scan) {
      newest = scan.index + scan.n;
      const seen = scan.column(column);
      if (seen === null || scan.n === 0) return NO_FLAGS;
      const witnesses = witness === null ? undefined : scan.column(witness)?.values;
      let over: readonly Flag[] = NO_FLAGS;
      if (scan.isBroken) {
        if (run.isTold) over = [flag(scan.expected)];
        begin(Number.NaN, scan.index);
      }
      if (!run.isTold && newest - run.start < fewest) skip(seen.values, witnesses, scan);
      else return [...over, ...walk(seen.values, witnesses, scan)];
      return over;
    },
    end() {
      if (!run.isTold) return NO_FLAGS;
      run.isTold = false;
      return [flag(newest)];
    },
  };
}

function stuckFlag(
  column: QuantityName,
  value: number,
  stuck_s: number,
  start_s: number,
  end_s: number,
): Flag {
  const { name, unit, written } = columnWords(column);
  return {
    kind: 'stuck',
    priority: 'medium',
    start_s,
    end_s,
    value,
    limit: null,
    unit,
    message:
      `The ${name} channel has stood at exactly ${written(value)} ` +
      `for more than ${tenths(stuck_s)} s: is it connected?`,
  };
}
