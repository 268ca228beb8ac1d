/**
 * What is being tested, as a page or a script states it: the schema that refuses what makes no sense,
 * and the demo's set-up. The type is `Setup` of `events.ts`.
 */
import * as v from 'valibot';
import type { Setup } from './events.ts';

const finite = v.pipe(v.number(), v.finite());
const angle_deg = v.pipe(finite, v.minValue(-360), v.maxValue(360));
const torque_Nm = v.pipe(finite, v.minValue(-5000), v.maxValue(5000));

function rising(schema: typeof finite | typeof angle_deg | typeof torque_Nm) {
  return v.pipe(
    v.strictTuple([schema, schema]),
    v.check(([least, most]) => least < most, 'the first must be below the second'),
    v.readonly(),
  );
}

/** A pseudonymous code: a name must not fit in. */
const subjectCode = v.pipe(
  v.string(),
  v.regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,23}$/, 'letters, digits, . _ - and at most 24 of them'),
);

export const setupSchema = v.strictObject({
  subject: subjectCode,
  pattern: v.pipe(v.string(), v.regex(/^[a-z][a-z-]{0,63}$/)),
  side: v.picklist(['left', 'right']),
  mode: v.picklist(['isokinetic', 'isotonic', 'isometric', 'passive']),
  speed_degps: v.pipe(finite, v.minValue(0), v.maxValue(1000)),
  repetitions: v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(200)),
  rangeLimits_deg: rising(angle_deg),
  torqueLimit_Nm: v.pipe(finite, v.gtValue(0), v.maxValue(5000)),
  torqueScale_Nm: rising(torque_Nm),
  sheet_s: v.pipe(finite, v.minValue(2), v.maxValue(600)),
}) satisfies v.GenericSchema<unknown, Setup>;

export const DEMO_SETUP: Setup = {
  subject: 'SH-03',
  pattern: 'ankle-plantarflexion-dorsiflexion',
  side: 'right',
  mode: 'isokinetic',
  speed_degps: 60,
  repetitions: 5,
  rangeLimits_deg: [-37, 16],
  torqueLimit_Nm: 120,
  torqueScale_Nm: [-120, 40],
  sheet_s: 16,
};
