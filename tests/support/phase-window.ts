/** A phase in columns, built by hand: lets a measure be checked on numbers that a source prints. */
import type { Window } from '../../shared/measures/window.ts';
import { largestAt } from '../../shared/measures/window.ts';
import { DEFAULT_RECIPE } from '../../shared/recipe/presets.ts';

export interface PhaseColumns extends Partial<
  Omit<Window, 'rate_Hz' | 'time_s' | 'torque_Nm' | 'angle_deg'>
> {
  readonly rate_Hz: number;
  readonly torque_Nm: Float64Array;
  readonly angle_deg?: Float64Array | null;
  readonly time_s?: Float64Array;
}

/** The whole of the columns unless `first` and `end` say otherwise; rising and concentric by default. */
export function phaseWindow(columns: PhaseColumns): Window {
  const { rate_Hz, torque_Nm } = columns;
  const first = columns.first ?? 0;
  const end = columns.end ?? torque_Nm.length;
  const angle_deg = columns.angle_deg ?? null;
  return {
    time_s: torque_Nm.map((_, i) => i / rate_Hz),
    peakable_Nm: torque_Nm,
    unfiltered_Nm: torque_Nm,
    fine_Nm: null,
    velocity_degps: null,
    action: angle_deg === null ? 'isometric' : 'concentric',
    effort: 1,
    direction: 1,
    onset: -1,
    targetSpeed_degps: null,
    loadRange: null,
    hasLongHole: false,
    bodyMass_kg: null,
    recipe: DEFAULT_RECIPE,
    ...columns,
    first,
    end,
    angle_deg,
    peak: columns.peak ?? largestAt(torque_Nm, { first, end }),
  };
}

/** Samples at t = 0, 1/rate, ... up to and including the duration. */
export function sampled(
  duration_s: number,
  rate_Hz: number,
  value: (t: number) => number,
): Float64Array {
  const n = Math.floor(duration_s * rate_Hz + 1e-9) + 1;
  return Float64Array.from({ length: n }, (_, i) => value(i / rate_Hz));
}
