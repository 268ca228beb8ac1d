/** Counts samples and holes as runs of samples go by in rising order, joining those that touch. */

export interface RunCounter {
  /** Samples [first, end) of the stream; `first` is not below the end of the run before. */
  run(first: number, end: number): void;
  /** Hands out the last joined run. */
  end(): void;
  readonly samples: number;
  /** Places without a sample between the first and the last. */
  readonly missing: number;
  readonly gaps: number;
  readonly firstIndex: number;
  /** One past the last sample; equal to `firstIndex` before the first. */
  readonly endIndex: number;
}

/** `onRun` gets every joined run once, when it is complete. */
export function createRunCounter(
  onRun: (first: number, end: number) => void = () => undefined,
): RunCounter {
  let samples = 0;
  let gaps = 0;
  let start: number | null = null;
  let runFirst = 0;
  let runEnd = 0;
  return {
    run(first, end) {
      samples += end - first;
      if (start !== null && first === runEnd) {
        runEnd = end;
        return;
      }
      if (start === null) start = first;
      else {
        gaps += 1;
        onRun(runFirst, runEnd);
      }
      runFirst = first;
      runEnd = end;
    },
    end() {
      if (start !== null) onRun(runFirst, runEnd);
    },
    get samples() {
      return samples;
    },
    get missing() {
      return start === null ? 0 : runEnd - start - samples;
    },
    get gaps() {
      return gaps;
    },
    get firstIndex() {
      return start ?? 0;
    },
    get endIndex() {
      return runEnd;
    },
  };
}
