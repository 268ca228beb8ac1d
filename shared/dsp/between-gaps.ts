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
  if (n > 0 && isWhole(x)) {
    apply(x, out.length === n ? out : out.subarray(0, n));
    return;
  }
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

/**
 * True when every sample is a finite number. NaN and Infinity times zero are NaN, and stay NaN in a sum:
 * one look at every sample, no branch.
 */
export function isWhole(x: Float64Array): boolean {
  let sum = 0;
  for (let i = 0; i < x.length; i += 1) sum += x[i] * 0;
  return sum === 0;
}
