/**
 * The check before a day's first subject: a few known loads against the calibration in use. It changes
 * nothing; it says whether the calibration still holds.
 */
import type { CalibrationPoint } from './fit.ts';
import type { CalibrationRecord } from './record.ts';

export interface Verification {
  readonly station: string;
  readonly channel: string;
  /** ISO 8601 day or time of the check, from the caller, and of the calibration that was checked. */
  readonly date: string;
  readonly calibrationDate: string;
  readonly unit: string;
  readonly points: readonly (CalibrationPoint & {
    /** By the calibration, zero taken off. */
    readonly reading: number;
    /** Reading minus reference. */
    readonly error: number;
  })[];
  readonly limit: number;
  readonly holds: boolean;
  /** One sentence each; empty when it holds. */
  readonly reasons: readonly string[];
}

/** `zero` is today's tare in the unit. Errors are judged by the record's own residual limits. */
export function verifyCalibration(
  record: CalibrationRecord,
  points: readonly CalibrationPoint[],
  zero: number,
  date: string,
): Verification {
  const { limits, fit, unit } = record;
  const limit = Math.max(limits.residual, (limits.residual_pct / 100) * fit.fullScale);
  const checked = points.map((point) => {
    const reading = record.slope * point.output + record.offset - zero;
    return { ...point, reading, error: reading - point.reference };
  });
  const reasons = checked
    .filter((point) => !(Math.abs(point.error) <= limit))
    .map(
      (point) =>
        `${point.reference.toFixed(2)} ${unit} reads ${point.reading.toFixed(2)} ${unit}; ` +
        `at most ${limit.toFixed(2)} ${unit} off.`,
    );
  if (checked.length === 0) reasons.push('No load was read.');
  return {
    station: record.station,
    channel: record.channel,
    date,
    calibrationDate: record.date,
    unit,
    points: checked,
    limit,
    holds: reasons.length === 0,
    reasons,
  };
}
