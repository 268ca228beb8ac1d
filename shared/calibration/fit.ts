/**
 * From volts or counts to units: a straight line through readings of known loads, on the way up and on the
 * way down, in both directions of rotation; with how straight and how repeatable the channel is.
 */
import { fitLine } from '../statistics/line.ts';

export interface CalibrationPoint {
  /** Mean of the settled raw reading, volts or counts. */
  readonly output: number;
  /** What it ought to be, Nm or degrees; negative for the other direction of rotation. */
  readonly reference: number;
  readonly branch: 'loading' | 'unloading';
}

export interface CalibrationFit {
  readonly n: number;
  /** Units for one raw unit; negative when the channel counts the other way. */
  readonly slope: number;
  /** The reading at raw 0, in the unit. */
  readonly offset: number;
  readonly slopeError: number;
  readonly offsetError: number;
  /** Scatter about the line in the unit, n - 2 degrees of freedom; NaN for 2 points. */
  readonly residualSd: number;
  readonly rSquared: number;
  /** Reference minus line, in the order of the points. */
  readonly residuals: readonly number[];
  /** Percentages below are of this: the largest reference unless stated. */
  readonly fullScale: number;
  readonly linearity_pct: number;
  /** Largest difference of a load's two branches; null when no load was read on both. */
  readonly hysteresis: number | null;
  readonly hysteresis_pct: number | null;
  /** Mean and sum of squares of the outputs: what an uncertainty needs. */
  readonly meanOutput: number;
  readonly outputSquares: number;
}

/** Null below 2 points or with one and the same output. Reference = slope output + offset (ordinary). */
export function fitCalibration(
  points: readonly CalibrationPoint[],
  fullScale = Math.max(...points.map((point) => Math.abs(point.reference))),
): CalibrationFit | null {
  const line = fitLine(
    points.map((point) => point.output),
    points.map((point) => point.reference),
  );
  if (line === null) return null;
  const apart = branchesApart(points);
  const hysteresis = apart === null ? null : apart * Math.abs(line.slope);
  const largest = Math.max(...line.residuals.map(Math.abs));
  return {
    n: line.n,
    slope: line.slope,
    offset: line.intercept,
    slopeError: line.slopeError,
    offsetError: line.interceptError,
    residualSd: line.residualSd,
    rSquared: line.rSquared,
    residuals: line.residuals,
    fullScale,
    linearity_pct: (100 * largest) / fullScale,
    hysteresis,
    hysteresis_pct: hysteresis === null ? null : (100 * hysteresis) / fullScale,
    meanOutput: line.meanX,
    outputSquares: line.sxx,
  };
}

/** Largest distance in raw units of the mean outputs of a load's two branches; null without such a load. */
function branchesApart(points: readonly CalibrationPoint[]): number | null {
  const distances = groupsByReference(points).flatMap((group) => {
    const up = group.filter((point) => point.branch === 'loading');
    const down = group.filter((point) => point.branch === 'unloading');
    return up.length > 0 && down.length > 0 ? [Math.abs(meanOutput(down) - meanOutput(up))] : [];
  });
  return distances.length === 0 ? null : Math.max(...distances);
}

function meanOutput(points: readonly CalibrationPoint[]): number {
  return points.reduce((total, point) => total + point.output, 0) / points.length;
}

/** Points of one and the same load, whatever the branch. */
export function groupsByReference(
  points: readonly CalibrationPoint[],
): readonly (readonly CalibrationPoint[])[] {
  const groups = new Map<number, CalibrationPoint[]>();
  for (const point of points) {
    const group = groups.get(point.reference);
    if (group === undefined) groups.set(point.reference, [point]);
    else group.push(point);
  }
  return [...groups.values()];
}
