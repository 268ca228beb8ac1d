/**
 * What preparing a test leaves behind, as it is stored in the catalogue and stated in a recording: the
 * weighing of a limb and the polarity check. The API, the log and the types share these schemas.
 */
import * as v from 'valibot';
import { code, line, number, side, text } from '../catalogue/fields.ts';
import { gravitySchema } from '../catalogue/edits.ts';

const at = v.pipe(v.string(), v.isoTimestamp());
const torque = number(-5000, 5000);
const angle = number(-360, 360);
const curve = v.pipe(v.array(angle), v.maxLength(720));
const torques = v.pipe(v.array(torque), v.maxLength(720));

/** By the names of the site's own fields. */
export const positionValues = v.record(line(64), v.union([number(-1e6, 1e6), text(64)]));

const sweepSchema = v.strictObject({
  number: v.pipe(v.number(), v.integer(), v.minValue(1)),
  way: v.picklist([-1, 1]),
  angle_deg: curve,
  torque_Nm: torques,
  /** Null when it was accepted. */
  tension: v.nullable(
    v.strictObject({ from_deg: angle, to_deg: angle, residual_Nm: torque, limit_Nm: torque }),
  ),
});

/** Whose limb, in which joint and side: what a weighing and a position belong to. */
const limb = { subject: code, pattern: line(64), side, station: line(64) };

/** The weight of limb and attachment as it was found: what a recording states. */
const weighingFacts = {
  ...limb,
  at,
  method: v.picklist(['sweep', 'hold']),
  /** `machine`: weighed near zero, because the machine removes the weight itself. */
  use: v.picklist(['removed', 'machine']),
  gravity: gravitySchema,
  range_deg: v.tuple([angle, angle]),
  rmsResidual_Nm: v.pipe(v.number(), v.minValue(0)),
  apart_Nm: v.nullable(torque),
  reference_deg: angle,
  atReference_Nm: torque,
  verdict: v.picklist(['plausible', 'nothing', 'small', 'large', 'unknown']),
  bodyMass_kg: v.optional(number(1, 500)),
  /** Settings of chair, motor and attachment at that time; absent when none were written down. */
  position: v.optional(positionValues),
  /** Id of the recording of its raw samples, when one was made. */
  samplesIn: v.optional(line(96)),
};

/** Takes a whole weighing and leaves its curves out. */
export const weighingSummary = v.object(weighingFacts);

/** With every sweep and hold that it came from; refused sweeps are kept too. */
export const weighing = v.strictObject({
  ...weighingFacts,
  sweeps: v.pipe(v.array(sweepSchema), v.maxLength(24)),
  holds: v.pipe(v.array(v.strictObject({ angle_deg: angle, torque_Nm: torque })), v.maxLength(24)),
});

export const POLARITY_FINDINGS = [
  'swapped',
  'torqueTurned',
  'angleTurned',
  'bothTurned',
  'heldTare',
  'deadTorque',
  'deadAngle',
  'notMoved',
  'notPushed',
] as const;

/** Ten seconds before the first set: do angle and torque go the way the pattern says? */
export const polarity = v.strictObject({
  ...limb,
  at,
  passed: v.boolean(),
  findings: v.array(v.strictObject({ kind: v.picklist(POLARITY_FINDINGS), message: line(400) })),
  moved_deg: v.number(),
  pushed_Nm: v.number(),
  rest_Nm: v.number(),
});

export type WeighingRecord = v.InferOutput<typeof weighing>;
export type WeighingSummary = v.InferOutput<typeof weighingSummary>;
export type PolarityRecord = v.InferOutput<typeof polarity>;
export type PolarityFinding = PolarityRecord['findings'][number];
