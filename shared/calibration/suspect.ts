/**
 * Which point spoils a calibration, and in which way: a load that was not what was written down lies off
 * on both branches, an unsettled reading on one.
 */
import { fitLine } from '../statistics/line.ts';
import { type CalibrationPoint, groupsByReference } from './fit.ts';

export interface Suspect {
  /** Indices of the points, in the order given. */
  readonly points: readonly number[];
  readonly kind: 'reference' | 'reading';
  readonly reference: number;
  /** What the line through the others makes of its output. */
  readonly byOthers: number;
}

/** A suspect lies this many times farther from the line than the others do. From memory: beyond chance. */
const FAR = 4;
/** Without it, at least this many points must be left for a line and its scatter. */
const FEWEST_LEFT = 4;

/** The worst of the loads and readings, or null when none stands out. */
export function findSuspect(points: readonly CalibrationPoint[]): Suspect | null {
  const pairs = groupsByReference(points).filter((group) => group.length > 1);
  const candidates = [...pairs, ...points.map((point) => [point])]
    .map((group) => judge(points, group))
    .filter((candidate) => candidate !== null && candidate.distance > FAR);
  // Pairs come first, so a load that is off as a whole is not told as one of its readings.
  const worst = candidates.reduce<Judged | null>(
    (best, one) => (one !== null && one.distance > (best?.distance ?? 0) ? one : best),
    null,
  );
  return worst?.suspect ?? null;
}

/** Share of the outputs' spread. */
const LEAST_SCATTER = 1e-9;

interface Judged {
  readonly suspect: Suspect;
  /** From the line through the others, in standard errors of what they predict. */
  readonly distance: number;
}

function judge(
  points: readonly CalibrationPoint[],
  group: readonly CalibrationPoint[],
): Judged | null {
  const others = points.filter((point) => !group.includes(point));
  if (others.length < FEWEST_LEFT) return null;
  const line = fitLine(
    others.map((point) => point.output),
    others.map((point) => point.reference),
  );
  if (line === null) return null;
  const output = group.reduce((total, point) => total + point.output, 0) / group.length;
  const away = output - line.meanX;
  const predicted = line.intercept + line.slope * output;
  const variance = 1 / group.length + 1 / line.n + (away * away) / line.sxx;
  // Others that lie on the line to the last digit would make every distance endless.
  const least = LEAST_SCATTER * Math.abs(line.slope) * Math.sqrt(line.sxx);
  const scatter = Math.max(line.residualSd, least);
  const distance = Math.abs(group[0].reference - predicted) / (scatter * Math.sqrt(variance));
  return {
    distance,
    suspect: {
      points: group.map((point) => points.indexOf(point)),
      kind: group.length > 1 ? 'reference' : 'reading',
      reference: group[0].reference,
      byOthers: predicted,
    },
  };
}
