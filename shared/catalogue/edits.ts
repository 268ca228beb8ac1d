/**
 * What people decide about a recording after it was made: which repetitions count, where they begin, whose
 * it is, how it is wired and analysed. The samples stay as they came; the results follow the decisions.
 */
import * as v from 'valibot';
import { patternById } from '../joints/index.ts';
import { RecipeSchema } from '../recipe/schema.ts';
import { parseWiring } from '../wiring/wiring.ts';
import { code, line, mode, number, recording, side } from './fields.ts';

const repetition = v.pipe(number(1, 100_000), v.integer());
const seconds = number(0, 1e7);

/** Whether a phase counts, as a person decided it; the computed reasons stay beside it. */
export const decision = v.strictObject({
  recording,
  repetition,
  direction: line(64),
  /** A moment inside the phase: it is found again when another recipe numbers otherwise. */
  at_s: v.optional(seconds),
  counts: v.boolean(),
  reason: line(400),
});

/** Where a phase begins and ends, as a person moved it: the phase that overlaps it most is meant. */
export const boundary = v.pipe(
  v.strictObject({ recording, repetition, direction: line(64), start_s: seconds, end_s: seconds }),
  v.check(({ start_s, end_s }) => start_s < end_s, 'start_s must come before end_s'),
);

const angle = number(-360, 360);
export const gravitySchema = v.variant('kind', [
  v.strictObject({ kind: v.literal('none') }),
  v.strictObject({
    kind: v.literal('sinusoid'),
    amplitude_Nm: number(-2000, 2000),
    horizontalAt_deg: angle,
    offset_Nm: v.optional(number(-2000, 2000), 0),
  }),
  v.pipe(
    v.strictObject({
      kind: v.literal('curve'),
      angle_deg: v.pipe(v.array(angle), v.minLength(2), v.maxLength(1000)),
      torque_Nm: v.pipe(v.array(number(-2000, 2000)), v.minLength(2), v.maxLength(1000)),
    }),
    v.check(
      ({ angle_deg, torque_Nm }) =>
        angle_deg.length === torque_Nm.length &&
        angle_deg.every((angle_, i) => i === 0 || angle_ > (angle_deg[i - 1] ?? -Infinity)),
      'angle_deg must rise, with a torque for each',
    ),
  ),
]);

const wiring = v.pipe(
  v.looseObject({}),
  v.rawCheck(({ dataset, addIssue }) => {
    if (!dataset.typed) return;
    const parsed = parseWiring(dataset.value);
    if ('problems' in parsed) addIssue({ message: parsed.problems.join('; ') });
  }),
);

const pattern = v.pipe(
  v.string(),
  v.check((id) => patternById(id) !== undefined, 'needs the id of a joint pattern'),
);

/** Whose recording it is, what was done and how it was wired, where the start document had it wrong. */
export const assignment = v.strictObject({
  recording,
  session: v.optional(line(64)),
  subject: v.optional(code),
  pattern: v.optional(pattern),
  side: v.optional(side),
  mode: v.optional(mode),
  speed_degps: v.optional(number(0, 1000)),
  load_Nm: v.optional(number(0, 2000)),
  bodyMass_kg: v.optional(number(1, 500)),
  gravity: v.optional(gravitySchema),
  /** The whole wiring file as it should have been. */
  wiring: v.optional(wiring),
});

/** The recipe that this recording's results are computed with; what it leaves out is the preset's. */
export const analysis = v.strictObject({ recording, recipe: RecipeSchema });

/** How long a recording must be kept: until then nobody can delete it. */
export const retention = v.strictObject({
  about: recording,
  keepUntil: v.pipe(v.string(), v.isoDate()),
  reason: line(400),
});

/** A recording that was deleted, and what it was: the entry outlives its folder. */
export const removal = v.strictObject({
  about: recording,
  reason: line(400),
  subject: v.string(),
  startedAt: v.string(),
  samples: v.pipe(v.number(), v.integer(), v.minValue(0)),
});
