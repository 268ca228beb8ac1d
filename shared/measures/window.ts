/**
 * What a measure looks at: one phase in columns of its own, torque turned to be positive in the
 * direction of the effort. Made once a phase; measures only read.
 */
import type { Action } from '../analysis-types.ts';
import type { Recipe } from '../recipe/recipe.ts';
import type { Span } from '../segmentation/stretches.ts';

export interface Window extends Span {
  readonly rate_Hz: number;
  /** Columns are longer than the phase, which is [first, end) of them. NaN is a missing sample. */
  readonly time_s: Float64Array;
  /** Muscle torque, smoothed, positive in the direction of the effort, impacts included. */
  readonly torque_Nm: Float64Array;
  /** The same without impacts; the same array where there are none. */
  readonly peakable_Nm: Float64Array;
  /** Not smoothed, impacts included; signed as torque is, not turned. */
  readonly unfiltered_Nm: Float64Array;
  /** Smoothed for onset and rate of torque development; isometric only. */
  readonly fine_Nm: Float64Array | null;
  readonly angle_deg: Float64Array | null;
  readonly velocity_degps: Float64Array | null;
  readonly action: Action;
  /** Directions as signs of angle and torque: 1 rising, -1 falling. */
  readonly effort: 1 | -1;
  readonly direction: 1 | -1;
  /** Sample of the largest torque that is not an impact; -1 where torque never goes that way. */
  readonly peak: number;
  /** Onset of torque; -1 where none is looked for. */
  readonly onset: number;
  readonly targetSpeed_degps: number | null;
  readonly loadRange: Span | null;
  /** Integrals are not to be trusted across a hole longer than the recipe allows. */
  readonly hasLongHole: boolean;
  readonly bodyMass_kg: number | null;
  readonly recipe: Recipe;
}

/** Sample of the largest value in the span that is above zero; -1 for none. */
export function largestAt(values: Float64Array, { first, end }: Span): number {
  let at = -1;
  let largest = 0;
  for (let i = first; i < end; i += 1) {
    if (values[i] > largest) {
      largest = values[i];
      at = i;
    }
  }
  return at;
}

/** The window narrowed to its load range; null where there is none. */
export function loadRangeWindow(window: Window): Window | null {
  const { loadRange, peakable_Nm } = window;
  if (loadRange === null) return null;
  return { ...window, ...loadRange, peak: largestAt(peakable_Nm, loadRange) };
}

/** First and last sample of the span with a number in every column; null when there are not two. */
export function knownEnds(
  { first, end }: Span,
  ...columns: readonly Float64Array[]
): readonly [number, number] | null {
  const isKnown = (i: number) => columns.every((column) => column[i] === column[i]);
  let a = first;
  let b = end - 1;
  while (a < end && !isKnown(a)) a += 1;
  while (b > a && !isKnown(b)) b -= 1;
  return b > a ? [a, b] : null;
}

/** Null for what is not a finite number: what does not apply is null, never 0 or NaN. */
export function finiteOrNull(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}

/**
 * A measure that others are made from is computed once a window: they ask one after the other. The window
 * is held weakly, so its columns can go.
 */
export function once<T>(measure: (window: Window) => T): (window: Window) => T {
  let last: { readonly window: WeakRef<Window>; readonly value: T } | null = null;
  return (window) => {
    if (last?.window.deref() !== window) {
      last = { window: new WeakRef(window), value: measure(window) };
    }
    return last.value;
  };
}
