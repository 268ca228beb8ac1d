/** Samples are missing: a hole in the stream, or values that are not numbers. Nothing is bridged. */
import { createBurst, type Events } from './burst.ts';
import type { Flag } from './flag.ts';
import type { LiveFlag } from './index.ts';
import { ANY, type ColumnScan, type Scan } from './scan.ts';
import { NO_FLAGS } from './watchers.ts';
import { counted, whole } from './words.ts';

export const gap: LiveFlag = {
  kind: 'gap',
  priority: 'medium',
  about: 'Samples are missing: a hole in the stream, or values that are not numbers.',
  create({ rate_Hz, thresholds }) {
    const burst = createBurst(thresholds.gapMerge_s, rate_Hz, (events) =>
      gapFlag(events, thresholds.gapTolerated_ms),
    );
    let newest = 0;
    /** First missing sample of a hole that is still open; -1 while nothing is missing. */
    let hole = -1;

    function close(end: number, out: Flag[]): void {
      if (hole >= 0) burst.hit(hole, end, (1000 * (end - hole)) / rate_Hz, out);
      hole = -1;
    }

    function walk(columns: readonly (ColumnScan | null)[], scan: Scan, out: Flag[]): void {
      for (let i = 0; i < scan.n; i += 1) {
        const isMissing = columns.some((column) => Number.isNaN(column?.values[i]));
        if (isMissing && hole < 0) hole = scan.index + i;
        else if (!isMissing) close(scan.index + i, out);
      }
    }

    return {
      quiet: new Map([
        ['torque_Nm', ANY],
        ['angle_deg', ANY],
      ]),
      push(scan) {
        newest = scan.index + scan.n;
        const torque = scan.column('torque_Nm');
        const angle = scan.column('angle_deg');
        const isWhole = torque?.isQuiet !== false && angle?.isQuiet !== false;
        const isMissing = scan.expected >= 0 && scan.index > scan.expected;
        if (isWhole && !isMissing && hole < 0 && !burst.isOpen) return NO_FLAGS;
        const out: Flag[] = [];
        if (isMissing && hole < 0) hole = scan.expected;
        walk([torque, angle], scan, out);
        burst.pass(hole >= 0 ? hole : newest, out);
        return out;
      },
      end() {
        const out: Flag[] = [];
        close(newest, out);
        burst.end(out);
        return out;
      },
    };
  },
};

/** One flag for holes close together; `worst` of the events is the longest hole in milliseconds. */
export function gapFlag(holes: Events, tolerated_ms: number): Flag {
  const isLong = holes.worst > tolerated_ms;
  return {
    kind: 'gap',
    priority: isLong ? 'medium' : 'low',
    start_s: holes.start_s,
    end_s: holes.end_s,
    value: holes.worst,
    limit: tolerated_ms,
    unit: 'ms',
    message:
      `Samples are missing: ${counted(holes.count, 'hole')}, longest ${whole(holes.worst)} ms` +
      (isLong
        ? `. Longer than ${whole(tolerated_ms)} ms: a phase with it does not count.`
        : '. No peak is taken inside.'),
  };
}
