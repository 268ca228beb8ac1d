/** What people decided about phases, laid over what was computed: standing and edges. Samples stay. */
import type { Phase, PhaseBoundary, PhaseDecision } from '../analysis-types.ts';
import type { Span } from './stretches.ts';

/**
 * The phase as a person decided: excluded with the reason `rejected`, or counted in spite of computed
 * reasons, which stay in sight. The last decision that means it holds.
 */
export function decided(phase: Phase, decisions: readonly PhaseDecision[] = []): Phase {
  const decision = decisions.findLast((one) => isMeant(one, phase));
  if (decision === undefined) return phase;
  const { counts, reason } = decision;
  const computed = phase.reasons.filter((one) => one !== 'rejected');
  const reasons = counts ? computed : [...computed, 'rejected' as const];
  return { ...phase, counts, reasons, decision: { counts, reason } };
}

function isMeant({ at_s, repetition, direction }: PhaseDecision, phase: Phase): boolean {
  if (at_s !== undefined) return phase.start_s <= at_s && at_s <= phase.end_s;
  return phase.repetition === repetition && phase.direction === direction;
}

/**
 * Spans of samples with the edges that people set. Each boundary means the span it overlaps most; none
 * when it overlaps none. A span ends where its neighbour begins: they never overlap.
 */
export function withBoundaries<S extends Span>(
  spans: readonly S[],
  time_s: Float64Array,
  boundaries: readonly PhaseBoundary[] = [],
): S[] {
  const moved = [...spans];
  for (const boundary of boundaries) {
    const wanted = samplesOf(time_s, boundary);
    const overlaps = moved.map((span) => overlapOf(span, wanted));
    const k = overlaps.indexOf(Math.max(...overlaps));
    const span = moved[k];
    if (span === undefined || !(overlaps[k] > 0)) continue;
    const first = Math.max(wanted.first, moved[k - 1]?.end ?? 0);
    const end = Math.min(wanted.end, moved[k + 1]?.first ?? time_s.length);
    if (end - first > 1) moved[k] = { ...span, first, end };
  }
  return moved;
}

/** The samples nearest to two moments, both included. */
function samplesOf(time_s: Float64Array, { start_s, end_s }: PhaseBoundary): Span {
  return { first: nearest(time_s, start_s), end: nearest(time_s, end_s) + 1 };
}

function nearest(time_s: Float64Array, at_s: number): number {
  let low = 0;
  let high = time_s.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (time_s[middle] < at_s) low = middle + 1;
    else high = middle;
  }
  if (low === time_s.length) return low - 1;
  return low > 0 && at_s - time_s[low - 1] < time_s[low] - at_s ? low - 1 : low;
}

function overlapOf(a: Span, b: Span): number {
  return Math.min(a.end, b.end) - Math.max(a.first, b.first);
}
