/** What the ledger marks on the sheet: load ranges, excluded repetitions, and one loop a repetition. */
import type { LedgerRow } from './ledger.ts';
import type { LoopSpan } from './loop.ts';
import type { Span } from './plot.ts';

export interface MarkedSpans {
  /** From the left edge of the sheet. */
  readonly bands: readonly Span[];
  readonly excluded: readonly Span[];
  /** Finished repetitions in the stream, oldest first, and where the one under way begins. */
  loops(
    zero: number,
    rate_Hz: number,
  ): { readonly loops: readonly LoopSpan[]; readonly from: number };
}

/** `start_s` is the time at the sheet's left edge. */
export function markedSpans(rows: readonly LedgerRow[], start_s: number): MarkedSpans {
  const bands: Span[] = [];
  const excluded: Span[] = [];
  const finished: { from_s: number; to_s: number; isExcluded: boolean }[] = [];
  let open_s: number | null = null;
  for (const row of rows) {
    const phases = [row.phases.falling, row.phases.rising].filter((phase) => phase !== null);
    if (phases.length === 0) continue;
    for (const { loadRange } of phases) {
      if (loadRange)
        bands.push({ from_s: loadRange.start_s - start_s, to_s: loadRange.end_s - start_s });
    }
    const from_s = Math.min(...phases.map((phase) => phase.start_s));
    const to_s = Math.max(...phases.map((phase) => phase.end_s));
    const isExcluded = row.state === 'excluded';
    if (isExcluded) excluded.push({ from_s: from_s - start_s, to_s: to_s - start_s });
    if (row.state === 'underway' || row.state === 'cutoff') open_s = from_s;
    else finished.push({ from_s, to_s, isExcluded });
  }
  const index = (time_s: number, zero: number, rate_Hz: number) =>
    zero + Math.round(time_s * rate_Hz);
  return {
    bands: bands.sort((a, b) => a.from_s - b.from_s),
    excluded: excluded.sort((a, b) => a.from_s - b.from_s),
    loops(zero, rate_Hz) {
      const loops = finished.map(({ from_s, to_s, isExcluded }) => ({
        first: index(from_s, zero, rate_Hz),
        end: index(to_s, zero, rate_Hz),
        isExcluded,
      }));
      const from = open_s === null ? loops.at(-1)?.end : index(open_s, zero, rate_Hz);
      return { loops, from: from ?? 0 };
    },
  };
}
