/**
 * Watches for runs of samples that share a property (at a converter's end, unchanged) and lets a run
 * become a flag once it has lasted long enough. A hole in the data ends a run.
 */
import type { Block } from '../block/block.ts';
import type { Flag } from './flag.ts';

export interface RunRule {
  /** Consecutive samples before a run is a flag, at least 2. */
  readonly samples: number;
  readonly make: (start: number, end: number) => Flag;
}

export interface Runs {
  /** The next sample, in order; `isIn` says whether it belongs to a run. */
  step(isIn: boolean, at: number, out: Flag[]): void;
  /** True while a run is going on: the caller must not skip samples. */
  readonly isOpen: boolean;
  /** Ends the run before this index. */
  close(at: number, out: Flag[]): void;
}

export function createRuns({ samples, make }: RunRule): Runs {
  let start = -1;
  let isTold = false;
  const runs: Runs = {
    get isOpen() {
      return start >= 0;
    },
    step(isIn, at, out) {
      if (!isIn) {
        runs.close(at, out);
        return;
      }
      if (start < 0) start = at;
      if (!isTold && at - start + 1 >= samples) {
        isTold = true;
        out.push(make(start, start));
      }
    },
    close(at, out) {
      if (isTold) out.push(make(start, at));
      start = -1;
      isTold = false;
    },
  };
  return runs;
}

/** True when the block does not follow on the sample before `expected`. */
export function isBroken(block: Block, expected: number): boolean {
  return block.afterGap || (expected >= 0 && block.index !== expected);
}
