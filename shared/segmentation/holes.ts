/** Missing samples inside a phase, or at an edge that only they made. */
import type { Span } from './stretches.ts';

export interface Hole {
  readonly start_s: number;
  readonly end_s: number;
}

export interface HoleColumns {
  readonly time_s: Float64Array;
  readonly torque_Nm: Float64Array;
  readonly angle_deg: Float64Array | null;
}

/**
 * Times between samples that are there, longer than `longest_s`, from just before `first` to just after
 * the end. Neighbours outside count only when `isOpen` says that the phase was going on there.
 */
export function holesIn(
  columns: HoleColumns,
  { first, end }: Span,
  longest_s: number,
  isOpen: { readonly atFirst: boolean; readonly atEnd: boolean },
): Hole[] {
  const { time_s } = columns;
  const holes: Hole[] = [];
  const from = isOpen.atFirst
    ? presentFrom(columns, first - 1, -1)
    : presentFrom(columns, first, 1);
  const to = isOpen.atEnd ? presentFrom(columns, end, 1) : presentFrom(columns, end - 1, -1);
  let before = from < 0 ? presentFrom(columns, first, 1) : from;
  const last = to < 0 ? end - 1 : to;
  for (let i = before + 1; i <= last && before >= 0; i += 1) {
    if (!isPresent(columns, i)) continue;
    if (time_s[i] - time_s[before] > longest_s) {
      holes.push({ start_s: time_s[before], end_s: time_s[i] });
    }
    before = i;
  }
  return holes;
}

/** The nearest sample that is there, from `i` on in a direction; -1 when there is none. */
function presentFrom(columns: HoleColumns, i: number, step: 1 | -1): number {
  for (let k = i; k >= 0 && k < columns.time_s.length; k += step) {
    if (isPresent(columns, k)) return k;
  }
  return -1;
}

function isPresent({ torque_Nm, angle_deg }: HoleColumns, i: number): boolean {
  return torque_Nm[i] === torque_Nm[i] && (angle_deg === null || angle_deg[i] === angle_deg[i]);
}
