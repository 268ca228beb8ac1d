/**
 * What a finished analysis hands to the flags: its phases and sets, and the signal they came from.
 * It holds what only the analysis knows; what a flag can see in the signal it looks up itself.
 */
import type { Conditions, Phase, SetRow, Signal, Weighing } from '../analysis-types.ts';
import type { JointPattern } from '../joints/pattern.ts';
import type { FlagThresholds } from './thresholds.ts';

/** Torque from hitting a stop or from the motor's braking: not muscle, and not the peak. */
export interface StopImpact {
  readonly time_s: number;
  /** Torque there as read, unfiltered, weight not removed; signed. */
  readonly torque_Nm: number;
  readonly at: 'start' | 'end';
}

export interface PhaseFinding {
  readonly phase: Phase;
  /** What the machine was set to, or what was inferred; null where no speed was set. */
  readonly targetSpeed_degps: number | null;
  readonly stopImpact: StopImpact | null;
  /** Largest torque in the effort's direction before filtering, impact included; weight removed. */
  readonly rawPeakTorque_Nm: number | null;
}

/** A row of the sets and the counting phases it is made of. */
export interface SetFinding {
  readonly row: SetRow;
  readonly phases: readonly Phase[];
}

export interface AnalysisFindings {
  /** As read: calibrated and turned by `--sign`, weight not removed, sign of `unsigned` not applied. */
  readonly signal: Signal;
  /** Filtered velocity, one value a sample; null where there is no angle. */
  readonly velocity_degps: Float64Array | null;
  readonly conditions: Conditions;
  /** Undefined when no pattern was stated. */
  readonly pattern: JointPattern | undefined;
  readonly phases: readonly PhaseFinding[];
  readonly sets: readonly SetFinding[];
  /** Fitted over a passive sweep; null in other modes. */
  readonly weighing: Weighing | null;
  readonly thresholds: FlagThresholds;
}
