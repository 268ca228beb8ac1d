/**
 * The calibration record: everything behind slope and offset, as it is kept with every recording. It
 * belongs to one station, one channel and one setting of the machine's outputs.
 */
import { type Acceptance, type AcceptanceLimits, judgeCalibration } from './acceptance.ts';
import { type CalibrationFit, type CalibrationPoint, fitCalibration } from './fit.ts';

/** Settings that the scale depends on, in the site's own fields and words. */
export type OutputSettings = Readonly<Record<string, string>>;

export interface Belonging {
  readonly station: string;
  readonly channel: string;
  readonly outputSettings: OutputSettings;
}

export interface CalibrationRecord extends Belonging {
  readonly unit: string;
  readonly slope: number;
  readonly offset: number;
  /** ISO 8601 day; the caller knows the calendar. */
  readonly date: string;
  readonly points: readonly CalibrationPoint[];
  readonly fit: CalibrationFit;
  readonly limits: AcceptanceLimits;
  readonly acceptance: Acceptance;
}

/** Null when the points make no line. A record that is not accepted is kept too, and says so. */
export function calibrationRecord(
  belonging: Belonging,
  date: string,
  points: readonly CalibrationPoint[],
  toMeasure: number,
  limits: AcceptanceLimits,
): CalibrationRecord | null {
  const fit = fitCalibration(points);
  if (fit === null) return null;
  return {
    ...belonging,
    unit: limits.unit,
    slope: fit.slope,
    offset: fit.offset,
    date,
    points,
    fit,
    limits,
    acceptance: judgeCalibration(points, fit, toMeasure, limits),
  };
}

/** Why a record is not for this channel as it is set now; null when it is. */
export function whyNotFor(record: Belonging, now: Belonging): string | null {
  if (record.station !== now.station) {
    return `It was made at station ${record.station}, this is ${now.station}.`;
  }
  if (record.channel !== now.channel) {
    return `It was made for channel ${record.channel}, this is ${now.channel}.`;
  }
  const names = new Set([
    ...Object.keys(record.outputSettings),
    ...Object.keys(now.outputSettings),
  ]);
  for (const name of names) {
    const then = record.outputSettings[name] ?? 'not stated';
    const today = now.outputSettings[name] ?? 'not stated';
    if (then !== today) return `Output setting ${name} was ${then}, it is ${today}.`;
  }
  return null;
}

const DAY_MS = 86_400_000;

/** Whole days from the record's day to another; negative before it, NaN for a day that is none. */
export function ageInDays(record: Pick<CalibrationRecord, 'date'>, day: string): number {
  return Math.floor((Date.parse(day) - Date.parse(record.date)) / DAY_MS);
}
