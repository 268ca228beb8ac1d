/**
 * The repetitions of a set scatter more than usual. It says so, and nothing about effort: the scatter of
 * one and the same person differs by 3 % from day to day (31 men, knee extension; abstract).
 */
import type { Flag } from './flag.ts';
import type { SetFinding } from './findings.ts';
import type { OfflineFlag } from './index.ts';
import type { FlagThresholds } from './thresholds.ts';
import { tenths, whole } from './words.ts';

export const inconsistent: OfflineFlag = {
  kind: 'inconsistent',
  priority: 'medium',
  about: 'Peak torques of a set scatter more than usual, or its two best lie far apart.',
  find: ({ sets, thresholds }) => sets.flatMap((set) => flagOf(set, thresholds)),
};

function flagOf({ row, phases }: SetFinding, limits: FlagThresholds): Flag[] {
  const [fewest, most] = limits.consistencyRepetitions;
  const first = phases.at(0);
  const last = phases.at(-1);
  if (first === undefined || last === undefined) return [];
  if (phases.length < fewest || phases.length > most || row.action === 'passive') return [];
  const span = { start_s: first.start_s, end_s: last.end_s };
  const name = row.effort === row.direction ? row.effort : `${row.effort} (${row.action})`;
  const variation_pct = row.coefficientOfVariation_pct;
  if (variation_pct !== null && variation_pct > limits.variation_pct) {
    const isHigh = variation_pct > limits.variationHigh_pct;
    return [
      {
        kind: 'inconsistent',
        priority: isHigh ? 'medium' : 'low',
        ...span,
        value: variation_pct,
        limit: isHigh ? limits.variationHigh_pct : limits.variation_pct,
        unit: '%',
        message:
          `Consistency, ${name}: peak torques of ${String(phases.length)} repetitions vary by ` +
          `${tenths(variation_pct)} %, usual is ${whole(limits.variation_pct)} % or less.`,
      },
    ];
  }
  const apart_pct = bestTwoApart_pct(phases.map((phase) => phase.peakTorque_Nm));
  if (apart_pct === null || apart_pct <= limits.bestTwo_pct) return [];
  return [
    {
      kind: 'inconsistent',
      priority: 'low',
      ...span,
      value: apart_pct,
      limit: limits.bestTwo_pct,
      unit: '%',
      message:
        `Consistency, ${name}: the best peak torque is ${tenths(apart_pct)} % above the next, ` +
        `usual is ${whole(limits.bestTwo_pct)} % or less.`,
    },
  ];
}

/** How far the second best lies under the best, percent of the best; null below two peaks. */
function bestTwoApart_pct(peaks_Nm: readonly (number | null)[]): number | null {
  const sorted = peaks_Nm.filter((peak) => peak !== null).sort((a, b) => b - a);
  const [best, next] = sorted;
  return sorted.length < 2 || best <= 0 ? null : (100 * (best - next)) / best;
}
