/**
 * What is to be run: sets in their order, as a protocol of the catalogue, a request or the set-up states
 * them. Nothing here knows how far a run has come.
 */
import * as v from 'valibot';
import type { Mode } from '../analysis-types.ts';
import { mode, number } from '../catalogue/fields.ts';
import type { Setup } from '../wire/events.ts';

/** The best two of a set are compared with this where the protocol is silent; common practice, no source. */
export const USUAL_AGREEMENT_pct = 10;
/** Of the built-in list: common practice, no source. */
const USUAL_SETS = 3;
const USUAL_REST_s = 60;
const MOST_SETS = 60;

export interface PlannedSet {
  readonly mode: Mode;
  readonly speed_degps: number;
  readonly load_Nm: number | null;
  readonly angle_deg: number | null;
  readonly repetitions: number;
  readonly rest_s: number;
  readonly isFamiliarisation: boolean;
  /** Adopted from what the lever showed; null: that of the set-up. */
  readonly rangeLimits_deg: readonly [number, number] | null;
}

export interface Plan {
  readonly name: string;
  readonly agreeWithin_pct: number;
  readonly sets: readonly PlannedSet[];
}

/** Sets as a protocol or a request states them. */
export const plannedSetSchema = v.strictObject({
  mode,
  speed_degps: v.optional(number(0, 1000)),
  load_Nm: v.optional(number(0, 2000)),
  angle_deg: v.optional(number(-360, 360)),
  repetitions: v.pipe(number(1, 200), v.integer()),
  rest_s: number(0, 3600),
  isFamiliarisation: v.optional(v.boolean()),
});

export const planSchema = v.pipe(
  v.array(plannedSetSchema),
  v.minLength(1, 'needs at least one set'),
  v.maxLength(MOST_SETS, `at most ${MOST_SETS} sets`),
);

export type StatedSet = v.InferOutput<typeof plannedSetSchema>;

export function planOf(
  name: string,
  sets: readonly StatedSet[],
  agreeWithin_pct: number = USUAL_AGREEMENT_pct,
): Plan {
  return {
    name,
    agreeWithin_pct,
    sets: sets.map((set) => ({
      mode: set.mode,
      speed_degps: set.speed_degps ?? 0,
      load_Nm: set.load_Nm ?? null,
      angle_deg: set.angle_deg ?? null,
      repetitions: set.repetitions,
      rest_s: set.rest_s,
      isFamiliarisation: set.isFamiliarisation ?? false,
      rangeLimits_deg: null,
    })),
  };
}

/** The built-in list: the set-up's own set, three times with a minute of rest. */
export function planOfSetup({ mode: stated, speed_degps, repetitions }: Setup): Plan {
  const set: StatedSet = { mode: stated, speed_degps, repetitions, rest_s: USUAL_REST_s };
  return planOf(
    '',
    Array.from({ length: USUAL_SETS }, () => set),
  );
}

/** The set-up with what a planned set states; everything else stays. */
export function setupFor(setup: Setup, set: PlannedSet): Setup {
  const { mode: planned, speed_degps, repetitions, rangeLimits_deg } = set;
  return {
    ...setup,
    mode: planned,
    speed_degps,
    repetitions,
    rangeLimits_deg: rangeLimits_deg ?? setup.rangeLimits_deg,
  };
}
