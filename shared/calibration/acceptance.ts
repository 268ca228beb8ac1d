/** Does a calibration meet the limits that the site states; if not, why, in words, and which point it is. */
import { type CalibrationFit, type CalibrationPoint, groupsByReference } from './fit.ts';
import { findSuspect, type Suspect } from './suspect.ts';

export interface AcceptanceLimits {
  readonly unit: string;
  /** A residual may be this share of full scale, or this much in the unit, whichever is more. */
  readonly residual_pct: number;
  readonly residual: number;
  readonly hysteresis_pct: number;
  /** Unequal loads (or positions). */
  readonly fewestLoads: number;
  /** The loads reach this share of what is to be measured. */
  readonly reach_pct: number;
  readonly bothBranches: boolean;
  readonly bothDirections: boolean;
}

/** Chosen here in the range of common practice: 1 % of full scale or 1 Nm, five loads up and down. */
export const TORQUE_LIMITS: AcceptanceLimits = {
  unit: 'Nm',
  residual_pct: 1,
  residual: 1,
  hysteresis_pct: 1,
  fewestLoads: 5,
  reach_pct: 80,
  bothBranches: true,
  bothDirections: true,
};

/** A goniometer at three positions, 1 degree: what it can be read to. */
export const ANGLE_LIMITS: AcceptanceLimits = {
  unit: 'deg',
  residual_pct: 0,
  residual: 1,
  hysteresis_pct: 5,
  fewestLoads: 3,
  reach_pct: 0,
  bothBranches: false,
  bothDirections: false,
};

export interface Acceptance {
  readonly isAccepted: boolean;
  /** One sentence each; empty when accepted. */
  readonly reasons: readonly string[];
  /** The point that most likely spoils it; null when accepted or when none stands out. */
  readonly suspect: Suspect | null;
}

/** `toMeasure` is the largest value that will be measured, in the unit. */
export function judgeCalibration(
  points: readonly CalibrationPoint[],
  fit: CalibrationFit,
  toMeasure: number,
  limits: AcceptanceLimits,
): Acceptance {
  const misfits = [...residualReasons(fit, limits), ...hysteresisReasons(fit, limits)];
  const suspect = misfits.length === 0 ? null : findSuspect(points);
  const reasons = [
    ...loadReasons(points, toMeasure, limits),
    ...misfits,
    ...(suspect === null ? [] : [suspectWords(suspect, limits.unit)]),
  ];
  return { isAccepted: reasons.length === 0, reasons, suspect };
}

function loadReasons(
  points: readonly CalibrationPoint[],
  toMeasure: number,
  limits: AcceptanceLimits,
): string[] {
  const loads = groupsByReference(points);
  const reasons: string[] = [];
  if (loads.length < limits.fewestLoads) {
    reasons.push(`${String(loads.length)} unequal points; at least ${String(limits.fewestLoads)}.`);
  }
  const largest = Math.max(0, ...points.map((point) => Math.abs(point.reference)));
  if (largest < (limits.reach_pct / 100) * toMeasure) {
    reasons.push(
      `The points reach ${text(largest, limits.unit)}; ${String(limits.reach_pct)} % of ` +
        `${text(toMeasure, limits.unit)} is needed.`,
    );
  }
  if (limits.bothBranches && new Set(points.map((point) => point.branch)).size < 2) {
    reasons.push('Read while loading and while unloading: one of them is missing.');
  }
  const isOneSided =
    points.every((point) => point.reference >= 0) || points.every((point) => point.reference <= 0);
  if (limits.bothDirections && isOneSided) {
    reasons.push('Loaded in one direction of rotation only.');
  }
  return reasons;
}

function residualReasons(fit: CalibrationFit, limits: AcceptanceLimits): string[] {
  const limit = Math.max(limits.residual, (limits.residual_pct / 100) * fit.fullScale);
  const sizes = fit.residuals.map(Math.abs);
  const largest = Math.max(...sizes);
  if (largest <= limit) return [];
  const at = sizes.indexOf(largest) + 1;
  return [
    `Point ${String(at)} is ${text(largest, limits.unit)} off the line; at most ` +
      `${text(limit, limits.unit)}.`,
  ];
}

function hysteresisReasons(fit: CalibrationFit, limits: AcceptanceLimits): string[] {
  if (fit.hysteresis === null || fit.hysteresis_pct === null) return [];
  if (fit.hysteresis_pct <= limits.hysteresis_pct) return [];
  return [
    `Loading and unloading differ by ${text(fit.hysteresis, limits.unit)} ` +
      `(${fit.hysteresis_pct.toFixed(2)} % of full scale); at most ${String(limits.hysteresis_pct)} %.`,
  ];
}

function suspectWords(suspect: Suspect, unit: string): string {
  const stated = text(suspect.reference, unit);
  const others = text(suspect.byOthers, unit);
  const which = suspect.points.map((index) => String(index + 1)).join(' and ');
  return suspect.kind === 'reference'
    ? `Points ${which}: stated as ${stated}, the others make it ${others} on every reading. Was the ` +
        'load, its arm or its position what was written down?'
    : `Point ${which}: stated as ${stated}, the others make it ${others}. Was the reading settled?`;
}

function text(value: number, unit: string): string {
  return `${value.toFixed(2)} ${unit}`;
}
