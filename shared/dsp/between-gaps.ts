/**
 * The rule for missing samples: whatever needs neighbours is computed in every stretch between them by
 * itself, and gives NaN where there was no sample. Nothing is bridged.
 */

/** Calls `apply` with each stretch of finite numbers and its place in `out`, which may be `x` itself. */
export function betweenGaps(
  x: Float64Array,
  out: Float64Array,
  apply: (x: Float64Array, out: Float64Array) => void,
): void {
  const n = x.length;
  let first = 0;
  while (first < n) {
    while (first < n && !Number.isFinite(x[first])) {
      out[first] = Number.NaN;
      first += 1;
    }
    let end = first;
    while (end < n && Number.isFinite(x[end])) end += 1;
    if (end > first) apply(x.subarray(first, end), out.subarray(first, end));
    first = end;
  }
}
