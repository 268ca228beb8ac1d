/**
 * Ratios between the two efforts of a joint, each by its name: conventional, functional and
 * angle-specific. Which muscle stands above the line is the pattern's custom.
 */
import type { Action, Phase, Ratio, RatioTerm } from '../analysis-types.ts';
import type { JointPattern } from '../joints/pattern.ts';
import { directionWord } from './phase-document.ts';
import type { CountedSet } from './sets/set-rows.ts';

/**
 * Patterns whose custom puts the falling effort above the line: eversion/inversion, external/internal
 * rotation. Elsewhere the rising one: flexion/extension, dorsiflexion/plantarflexion. Common practice.
 */
const FALLING_ABOVE: readonly string[] = [
  'ankle-eversion-inversion',
  'shoulder-external-internal-rotation',
];

export function ratiosOf(
  sets: readonly CountedSet[],
  pattern: JointPattern | undefined,
): readonly Ratio[] {
  const isTurned = pattern !== undefined && FALLING_ABOVE.includes(pattern.id);
  const above = directionWord(isTurned ? -1 : 1, pattern);
  const below = directionWord(isTurned ? 1 : -1, pattern);
  const speeds = [...new Set(sets.map(({ row }) => row.speed_degps))];
  return speeds.flatMap((speed) => {
    const find = (effort: string, action: Action) =>
      sets.find(
        ({ row }) => row.effort === effort && row.action === action && row.speed_degps === speed,
      );
    return PAIRS.flatMap(([name, top, bottom]) => {
      const numerator = find(above, top);
      const denominator = find(below, bottom);
      return numerator && denominator ? named(name, numerator, denominator) : [];
    });
  });
}

/**
 * Conventional: both the same way. Functional: the braking muscle against the driving one, e.g.
 * eccentric flexion / concentric extension for an extending knee (Aagaard 1995, 1998).
 */
const PAIRS: readonly (readonly [string, Action, Action])[] = [
  ['conventional', 'concentric', 'concentric'],
  ['conventional', 'isometric', 'isometric'],
  ['conventional', 'eccentric', 'eccentric'],
  ['functional', 'eccentric', 'concentric'],
  ['functional', 'concentric', 'eccentric'],
];

function named(name: string, numerator: CountedSet, denominator: CountedSet): Ratio[] {
  const terms = { numerator: termOf(numerator), denominator: termOf(denominator) };
  const value = quotient(numerator.row.bestPeakTorque_Nm, denominator.row.bestPeakTorque_Nm);
  const angles = Object.keys(torquesAtAngles(numerator.phases));
  return [
    { name, ...terms, measure: 'peakTorque', value },
    ...angles.map((angle) => ({
      name: `${name}, angle-specific`,
      ...terms,
      measure: `torqueAt${angle}deg`,
      value: quotient(
        torquesAtAngles(numerator.phases)[angle] ?? null,
        torquesAtAngles(denominator.phases)[angle] ?? null,
      ),
    })),
  ];
}

function termOf({ row }: CountedSet): RatioTerm {
  return { effort: row.effort, action: row.action, speed_degps: row.speed_degps };
}

/** Best torque at each angle over the repetitions; null where none passed it. */
function torquesAtAngles(phases: readonly Phase[]): Record<string, number | null> {
  const best: Record<string, number | null> = {};
  for (const { torqueAtAngle_Nm: torques } of phases) {
    if (typeof torques !== 'object' || torques === null) continue;
    for (const [angle, torque] of Object.entries(torques)) {
      const known = best[angle] ?? null;
      best[angle] = typeof torque === 'number' ? Math.max(torque, known ?? torque) : known;
    }
  }
  return best;
}

function quotient(numerator: number | null, denominator: number | null): number | null {
  if (numerator === null || denominator === null || denominator === 0) return null;
  return numerator / denominator;
}
