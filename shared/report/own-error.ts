/**
 * How far a repeated measurement scatters at this site: from its own retests, tests of the same person and
 * side on two days near each other. What cannot be paired is left out by rule, and n is named.
 */
import { meanSquares } from '../statistics/anova.ts';
import { measurementError } from '../statistics/measurement-error.ts';
import type { EffortBest, OwnError } from './facts.ts';

export interface TestedSet {
  readonly subject: string;
  readonly pattern: string;
  readonly side: string;
  readonly mode: string;
  readonly startedAt: string;
  readonly efforts: readonly EffortBest[];
}

/** Common practice, no source: within two weeks a person's strength is taken as the same. */
const MOST_DAYS = 14;
/** Fewer pairs tell little about a spread: 95 % limits of an SD from 5 are 0.6 to 2.9 times it. */
export const LEAST_PAIRS = 5;
const DAY_ms = 86_400_000;

/** Each person and side gives one pair: the first test that has a second one in time, on another day. */
export function ownErrors(sets: readonly TestedSet[]): readonly OwnError[] {
  const differences = new Map<
    string,
    { name: EffortBest; pattern: string; values: [number, number][] }
  >();
  for (const [first, second] of pairsOf(sets)) {
    for (const effort of first.efforts) {
      const again = second.efforts.find((one) => keyOf(first, one) === keyOf(first, effort));
      const [a, b] = [effort.bestPeakTorque_Nm, again?.bestPeakTorque_Nm ?? null];
      if (a === null || b === null) continue;
      const key = keyOf(first, effort);
      const known = differences.get(key) ?? { name: effort, pattern: first.pattern, values: [] };
      known.values.push([a, b]);
      differences.set(key, known);
    }
  }
  return [...differences.values()].flatMap(({ name, pattern, values }) => {
    const squares = values.length < LEAST_PAIRS ? null : meanSquares(values);
    if (squares === null) return [];
    const { effort, direction, action, speed_degps } = name;
    const { mdc95 } = measurementError(squares);
    const nPairs = values.length;
    return [{ pattern, effort, direction, action, speed_degps, mdc95_Nm: mdc95, nPairs }];
  });
}

function pairsOf(sets: readonly TestedSet[]): (readonly [TestedSet, TestedSet])[] {
  const groups = new Map<string, TestedSet[]>();
  for (const one of sets) {
    const speeds = one.efforts.map(({ speed_degps }) => Math.round(speed_degps ?? 0)).join();
    const key = JSON.stringify([one.subject, one.pattern, one.side, one.mode, speeds]);
    if (one.subject !== '') groups.set(key, [...(groups.get(key) ?? []), one]);
  }
  return [...groups.values()].flatMap((group) => {
    const inOrder = group.toSorted((a, b) => (a.startedAt < b.startedAt ? -1 : 1));
    for (const [k, first] of inOrder.entries()) {
      const second = inOrder.slice(k + 1).find((one) => isRetest(first, one));
      if (second) return [[first, second] as const];
    }
    return [];
  });
}

function isRetest(first: TestedSet, second: TestedSet): boolean {
  const isOtherDay = first.startedAt.slice(0, 10) !== second.startedAt.slice(0, 10);
  const apart_ms = Date.parse(second.startedAt) - Date.parse(first.startedAt);
  return isOtherDay && apart_ms <= MOST_DAYS * DAY_ms;
}

function keyOf({ pattern }: TestedSet, { effort, direction, action, speed_degps }: EffortBest) {
  return JSON.stringify([pattern, direction, effort, action, Math.round(speed_degps ?? 0)]);
}
