/**
 * Second-order sections and their sweep over samples, transposed direct form II, a section at a time.
 * A sample that is not a finite number gives NaN, and the filter starts anew at the next one from its
 * steady state: nothing rings on from a hole, and there is no false transient.
 */

/** y = b0 x + b1 x' + b2 x'' - a1 y' - a2 y''. */
export interface Section {
  readonly b0: number;
  readonly b1: number;
  readonly b2: number;
  readonly a1: number;
  readonly a2: number;
}

/** Sections and their memory in flat arrays: four times as fast as objects in the loop (Node 20). */
export interface Cascade {
  readonly nSections: number;
  /** b0 b1 b2 a1 a2 of each section. */
  readonly coefficients: Float64Array;
  /** Two numbers a section; NaN before the first sample and after a hole. */
  readonly memory: Float64Array;
}

export function cascade(sections: readonly Section[]): Cascade {
  return {
    nSections: sections.length,
    coefficients: Float64Array.from(
      sections.flatMap(({ b0, b1, b2, a1, a2 }) => [b0, b1, b2, a1, a2]),
    ),
    memory: new Float64Array(2 * sections.length).fill(Number.NaN),
  };
}

/** The next sample starts from the steady state again. */
export function restart({ memory }: Cascade): void {
  memory.fill(Number.NaN);
}

/**
 * Filters the first `n` of `x` into `out`, which may be `x`. Goes on from where the last sweep stopped,
 * so cutting changes no bit.
 */
export function sweep(filter: Cascade, x: Float64Array, out: Float64Array, n: number): void {
  for (let s = 0; s < filter.nSections; s += 1) {
    sweepSection(filter, s, s === 0 ? x : out, out, n);
  }
}

/** The inner loop knows of no holes but where to stop: twice as fast as one loop that handles both. */
function sweepSection(
  { coefficients, memory }: Cascade,
  s: number,
  x: Float64Array,
  out: Float64Array,
  n: number,
): void {
  const b0 = coefficients[5 * s];
  const b1 = coefficients[5 * s + 1];
  const b2 = coefficients[5 * s + 2];
  const a1 = coefficients[5 * s + 3];
  const a2 = coefficients[5 * s + 4];
  let z1 = memory[2 * s];
  let z2 = memory[2 * s + 1];
  let i = 0;
  while (i < n) {
    const first = x[i];
    if (!Number.isFinite(first)) {
      z1 = Number.NaN;
      out[i] = Number.NaN;
      i += 1;
      continue;
    }
    if (Number.isNaN(z1)) {
      const gain = (b0 + b1 + b2) / (1 + a1 + a2);
      z1 = (gain - b0) * first;
      z2 = (b2 - a2 * gain) * first;
    }
    for (; i < n; i += 1) {
      const v = x[i];
      if (v - v !== 0) break;
      const y = b0 * v + z1;
      z1 = b1 * v + z2 - a1 * y;
      z2 = b2 * v - a2 * y;
      out[i] = y;
    }
  }
  memory[2 * s] = z1;
  memory[2 * s + 1] = z2;
}
