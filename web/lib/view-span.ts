/** The stretch of a recording that is on the desk: zoomed and moved, never outside of it. */

export interface ViewSpan {
  readonly from_s: number;
  readonly to_s: number;
}

/** Shortest stretch: a few samples at the usual rates. */
const LEAST_S = 0.02;

export function clampSpan(span: ViewSpan, duration_s: number): ViewSpan {
  const most = Math.max(LEAST_S, duration_s);
  const length = Math.min(most, Math.max(LEAST_S, span.to_s - span.from_s));
  const from_s = Math.min(Math.max(0, span.from_s), most - length);
  return { from_s, to_s: from_s + length };
}

/** `factor` below 1 comes closer; `at_s` stays where it is on the screen. */
export function zoomSpan(
  span: ViewSpan,
  factor: number,
  at_s: number,
  duration_s: number,
): ViewSpan {
  const length = (span.to_s - span.from_s) * factor;
  const share = (at_s - span.from_s) / (span.to_s - span.from_s);
  const kept = Math.min(Math.max(length, LEAST_S), Math.max(LEAST_S, duration_s));
  const from_s = at_s - share * kept;
  return clampSpan({ from_s, to_s: from_s + kept }, duration_s);
}

export function moveSpan(span: ViewSpan, by_s: number, duration_s: number): ViewSpan {
  return clampSpan({ from_s: span.from_s + by_s, to_s: span.to_s + by_s }, duration_s);
}

/** From an address; all of the recording where it says nothing that makes sense. */
export function spanFromQuery(query: URLSearchParams, duration_s: number): ViewSpan {
  const from_s = Number(query.get('from') ?? '0');
  const to_s = Number(query.get('to') ?? duration_s);
  const isGood = Number.isFinite(from_s) && Number.isFinite(to_s) && to_s > from_s;
  return clampSpan(isGood ? { from_s, to_s } : { from_s: 0, to_s: duration_s }, duration_s);
}
