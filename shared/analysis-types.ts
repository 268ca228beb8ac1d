/**
 * What goes into an analysis and the document that comes out of it: the form other programs rely on.
 * Identifiers are camelCase, then `_unit`; what does not apply is null, never 0.
 */
import type { Flag } from './flags/flag.ts';
import type { Gravity } from './gravity/gravity.ts';

export type Mode = 'isokinetic' | 'isotonic' | 'isometric' | 'passive';
export type Side = 'left' | 'right';
export type Action = 'concentric' | 'eccentric' | 'isometric' | 'passive';

/** Calibrated samples of one recording or table; all columns of one length; NaN is a missing sample. */
export interface Signal {
  /** Nominal samples a second. */
  readonly rate_Hz: number;
  /** Seconds, not decreasing after reading; uneven stamps are kept as they came. */
  readonly time_s: Float64Array;
  readonly torque_Nm: Float64Array;
  readonly angle_deg: Float64Array | null;
  /** A measured velocity, where the machine gives one. */
  readonly velocity_degps: Float64Array | null;
  /** Flags that reading already found (gap, duplicate, timeReversed, rateOff). */
  readonly flags: readonly Flag[];
}

/** What a person stated about the test; what is left out is inferred and named in `inferred`. */
export interface Conditions {
  readonly pattern?: string;
  readonly side?: Side;
  readonly mode?: Mode;
  readonly speed_degps?: number;
  readonly load_Nm?: number;
  readonly bodyMass_kg?: number;
  readonly torque?: 'signed' | 'unsigned';
  readonly gravity?: Gravity;
  /** Limits of the range of motion [least, most] and of torque, for flags. */
  readonly range_deg?: readonly [number, number];
  readonly torqueLimit_Nm?: number;
  /** What people decided about single phases, and edges that they moved. */
  readonly decisions?: readonly PhaseDecision[];
  readonly boundaries?: readonly PhaseBoundary[];
  /** Commanded range of the set, for `shortRange`; without it the set's own largest range serves. */
  readonly setRange_deg?: number;
}

/** Whether a phase counts, by a person; `at_s` lies inside it, else number and direction name it. */
export interface PhaseDecision {
  readonly repetition: number;
  readonly direction: string;
  readonly at_s?: number | undefined;
  readonly counts: boolean;
  readonly reason: string;
}

/** Where a phase begins and ends, by a person: it is the one that overlaps this most. */
export interface PhaseBoundary {
  readonly start_s: number;
  readonly end_s: number;
}

export type Reason = 'shortRange' | 'interrupted' | 'cut' | 'gap' | 'rejected';

export interface LoadRange {
  readonly start_s: number;
  readonly end_s: number;
  readonly range_deg: number;
  readonly peakTorque_Nm: number | null;
  readonly work_J: number | null;
  readonly meanPower_W: number | null;
}

export interface Phase {
  readonly repetition: number;
  /** Direction of movement (isometric: of the torque), in the pattern's words or rising | falling. */
  readonly direction: string;
  /** The direction in which the muscles push. */
  readonly effort: string;
  readonly action: Action;
  readonly start_s: number;
  readonly end_s: number;
  readonly counts: boolean;
  readonly reasons: readonly Reason[];
  readonly rangeOfMotion_deg: number | null;
  readonly peakVelocity_degps: number | null;
  readonly peakTorque_Nm: number | null;
  readonly peakTorqueTime_s: number | null;
  readonly angleAtPeakTorque_deg: number | null;
  readonly timeToPeakTorque_s: number | null;
  readonly work_J: number | null;
  readonly meanPower_W: number | null;
  readonly peakPower_W: number | null;
  readonly impulse_Nms: number | null;
  readonly meanTorque_Nm: number | null;
  readonly loadRange: LoadRange | null;
  readonly onset_s: number | null;
  readonly rateOfTorqueDevelopment_Nmps: Readonly<Record<string, number | null>> | null;
  /** Isometric: quiet torque just before the effort, already taken off the others. */
  readonly baseline_Nm?: number | null;
  /** What a person decided; the computed reasons stay beside it. */
  readonly decision?: { readonly counts: boolean; readonly reason: string };
  /** Further measures by their own names (see the README's table of measures). */
  readonly [measure: string]: unknown;
}

export interface SetRow {
  readonly direction: string;
  readonly effort: string;
  readonly action: Action;
  readonly speed_degps: number | null;
  readonly repetitions: number;
  readonly bestPeakTorque_Nm: number | null;
  readonly meanPeakTorque_Nm: number | null;
  readonly coefficientOfVariation_pct: number | null;
  readonly totalWork_J: number | null;
  readonly workDecline_pct: number | null;
  readonly [measure: string]: unknown;
}

export interface RatioTerm {
  readonly effort: string;
  readonly action: Action;
  readonly speed_degps: number | null;
}

export interface Ratio {
  readonly name: string;
  readonly numerator: RatioTerm;
  readonly denominator: RatioTerm;
  readonly measure: string;
  readonly value: number | null;
}

export interface Weighing {
  readonly amplitude_Nm: number | null;
  readonly horizontalAt_deg: number | null;
  readonly offset_Nm: number | null;
  readonly standardErrors: {
    readonly amplitude_Nm: number | null;
    readonly horizontalAt_deg: number | null;
    readonly offset_Nm: number | null;
  };
  readonly rmsResidual_Nm: number | null;
  /** Swept range [least, most]. */
  readonly range_deg: readonly [number, number];
  readonly identifiable: boolean;
}

export interface AnalysisDocument {
  readonly input: string;
  readonly rate_Hz: number;
  readonly recipe: Readonly<Record<string, unknown>>;
  readonly gravity: Gravity;
  /** Names of conditions that were not given but worked out from the signal, with their values. */
  readonly inferred: Readonly<Record<string, unknown>>;
  readonly phases: readonly Phase[];
  readonly sets: readonly SetRow[];
  readonly ratios: readonly Ratio[];
  readonly flags: readonly Flag[];
  readonly weighing?: Weighing;
}
