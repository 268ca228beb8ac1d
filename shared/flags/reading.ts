/** Flags that the reader of a table raises about its time stamps; `gapFlag` and `rateOffFlag` go with them. */
import type { Flag } from './flag.ts';
import { counted } from './words.ts';

/** Rows that repeat the time of the row before; the second of each was left out. */
export function duplicateFlag(count: number, start_s: number, end_s: number): Flag {
  return {
    kind: 'duplicate',
    priority: 'low',
    start_s,
    end_s,
    value: count,
    limit: 0,
    unit: 'rows',
    message: `${counted(count, 'row')} came twice with the same time. The second was left out.`,
  };
}

/** Time goes back by `back_s` at `time_s`. */
export function timeReversedFlag(back_s: number, time_s: number): Flag {
  return {
    kind: 'timeReversed',
    priority: 'medium',
    start_s: time_s,
    end_s: time_s,
    value: back_s,
    limit: 0,
    unit: 's',
    message: `Time goes back by ${back_s.toFixed(3)} s: rows are out of order or the clock started again.`,
  };
}
