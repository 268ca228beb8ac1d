/** What a measure of a phase is. One file a measure; the list is in index.ts. */
import type { Action } from '../analysis-types.ts';
import type { Window } from './window.ts';

/** A number, numbers by what they are for, or null where the measure does not apply. */
export type MeasureValue = number | null | Readonly<Record<string, number | null>>;

export interface Measure<Id extends string, Value extends MeasureValue> {
  /** Key in JSON and column in tables: camelCase, then the unit. */
  readonly id: Id;
  /** In words, for tables and tooltips. */
  readonly name: string;
  readonly unit: string;
  readonly formula: string;
  readonly source: string;
  /** The test that compares it with something outside. */
  readonly check: string;
  /** Kinds of phase it is for; null elsewhere. */
  readonly actions: readonly Action[];
  of(window: Window): Value;
}

export const MOVING = ['concentric', 'eccentric', 'passive'] as const satisfies readonly Action[];
export const EVERY = [...MOVING, 'isometric'] as const satisfies readonly Action[];
export const ISOMETRIC = ['isometric'] as const satisfies readonly Action[];

/** The value, or null where the measure is not for this kind of phase. */
export function measured<Id extends string, Value extends MeasureValue>(
  measure: Measure<Id, Value>,
  window: Window,
): Value | null {
  return measure.actions.includes(window.action) ? measure.of(window) : null;
}
