/**
 * Gathers short events (spikes, holes) that come close together into one flag, so that a bad cable is
 * one line in the log and not a thousand. Given at the first event and again when it has been quiet.
 */
import type { Flag } from './flag.ts';

export interface Events {
  readonly count: number;
  /** Largest of the events, in the caller's measure. */
  readonly worst: number;
  readonly start_s: number;
  readonly end_s: number;
}

export interface Burst {
  /** An event over the samples [start, end) of size `size`; events in order. */
  hit(start: number, end: number, size: number, out: Flag[]): void;
  /** True from the first event until it has been quiet for long enough. */
  readonly isOpen: boolean;
  /** No further event can begin before this index: has it been quiet for long enough? */
  pass(at: number, out: Flag[]): void;
  end(out: Flag[]): void;
}

export function createBurst(
  merge_s: number,
  rate_Hz: number,
  make: (events: Events) => Flag,
): Burst {
  const quiet = Math.ceil(merge_s * rate_Hz);
  let count = 0;
  let worst = 0;
  let start = 0;
  let last = 0;

  function flag(end: number): Flag {
    return make({ count, worst, start_s: start / rate_Hz, end_s: end / rate_Hz });
  }

  function close(out: Flag[]): void {
    if (count > 0) out.push(flag(last));
    count = 0;
  }

  return {
    get isOpen() {
      return count > 0;
    },
    hit(first, end, size, out) {
      if (count > 0 && first - last > quiet) close(out);
      count += 1;
      last = end;
      if (count > 1) {
        worst = Math.max(worst, size);
        return;
      }
      worst = size;
      start = first;
      out.push(flag(first));
    },
    pass(at, out) {
      if (count > 0 && at - last > quiet) close(out);
    },
    end: close,
  };
}
