/** Two analyses of the same samples side by side: the same phases, and what is different in every number. */
import type { Phase } from '../analysis-types.ts';
import { numbersOf, overlapping } from '../certainty.ts';

export interface PhasePair {
  /** Null where the other analysis found none here. */
  readonly a: Phase | null;
  readonly b: Phase | null;
}

export interface NumberPair {
  /** Own name of the measure; those inside another by their path, `loadRange.work_J`. */
  readonly id: string;
  readonly a: number | null;
  readonly b: number | null;
  /** b - a; null where one of them is missing. */
  readonly difference: number | null;
}

/** In the order of time. A phase of B that overlaps none of A stands alone. */
export function phasePairs(a: readonly Phase[], b: readonly Phase[]): readonly PhasePair[] {
  const pairs = a.map((phase) => ({ a: phase, b: overlapping(b, phase)[0] ?? null }));
  const isTaken = new Set(pairs.map((pair) => pair.b));
  const alone = b.filter((phase) => !isTaken.has(phase)).map((phase) => ({ a: null, b: phase }));
  const start_s = (pair: PhasePair) => (pair.a ?? pair.b)?.start_s ?? 0;
  return [...pairs, ...alone].sort((one, other) => start_s(one) - start_s(other));
}

/** Every number that either has, in the order of the document. */
export function numberPairs({ a, b }: PhasePair): readonly NumberPair[] {
  const numbersOfA = a === null ? new Map<string, number>() : numbersOf(a);
  const numbersOfB = b === null ? new Map<string, number>() : numbersOf(b);
  return [...new Set([...numbersOfA.keys(), ...numbersOfB.keys()])].map((id) => {
    const [inA, inB] = [numbersOfA.get(id) ?? null, numbersOfB.get(id) ?? null];
    return { id, a: inA, b: inB, difference: inA === null || inB === null ? null : inB - inA };
  });
}
