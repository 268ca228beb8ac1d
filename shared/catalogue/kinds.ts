/**
 * What the catalogue keeps: the kinds of item and the form of each, one schema for API, log and types.
 * Items change only by entries (entry.ts); raw samples are never in here.
 */
import * as v from 'valibot';

const text = (most: number) => v.pipe(v.string(), v.maxLength(most));
const line = (most: number) => v.pipe(v.string(), v.trim(), v.minLength(1), v.maxLength(most));
const number = (least: number, most: number) =>
  v.pipe(v.number(), v.finite(), v.minValue(least), v.maxValue(most));
const side = v.picklist(['left', 'right']);

/** Letters, digits, dot, dash, underscore: fits a file name on every system, and no name of a person. */
export const code = v.pipe(
  v.string(),
  v.regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$/, 'needs 1 to 32 letters, digits, dots, dashes'),
);

const subject = v.strictObject({
  code,
  bodyMass_kg: v.optional(number(1, 500)),
  height_cm: v.optional(number(30, 260)),
  /** Whole years; 90 stands for 90 and over. */
  age_years: v.optional(v.pipe(number(0, 90), v.integer())),
  sex: v.optional(v.picklist(['female', 'male', 'other'])),
  dominantSide: v.optional(side),
  affectedSide: v.optional(v.picklist(['left', 'right', 'both', 'none'])),
  study: v.optional(line(64)),
  group: v.optional(line(64)),
  notes: v.optional(text(2000)),
});

const session = v.strictObject({
  subject: code,
  station: line(64),
  startedAt: v.pipe(v.string(), v.isoTimestamp()),
  tester: v.optional(code),
  visit: v.optional(line(64)),
  condition: v.optional(line(64)),
  /** Question to answer, as the licensed practitioner gave it. */
  screening: v.optional(v.record(line(200), text(400))),
  painBefore: v.optional(number(0, 10)),
  painAfter: v.optional(number(0, 10)),
  notes: v.optional(text(2000)),
});

const station = v.strictObject({
  name: line(64),
  /** Settings of chair, motor head and attachment, defined by the site. */
  positionFields: v.optional(
    v.array(v.strictObject({ name: line(64), unit: text(16), isMirrored: v.boolean() })),
  ),
  /** Output settings of the machine that a calibration depends on. */
  outputSettings: v.optional(v.record(line(64), text(64))),
  notes: v.optional(text(2000)),
});

const calibration = v.strictObject({
  station: line(64),
  channel: line(64),
  outputSettings: v.optional(v.record(line(64), text(64))),
  slope: v.pipe(v.number(), v.finite()),
  offset: v.pipe(v.number(), v.finite()),
  unit: line(16),
  date: v.pipe(v.string(), v.isoDate()),
  record: v.optional(v.record(v.string(), v.unknown())),
});

const position = v.strictObject({
  subject: code,
  pattern: line(64),
  side,
  values: v.record(line(64), v.union([v.pipe(v.number(), v.finite()), text(64)])),
  notes: v.optional(text(2000)),
});

const protocol = v.strictObject({
  name: line(80),
  pattern: line(64),
  sets: v.pipe(
    v.array(
      v.strictObject({
        mode: v.picklist(['isokinetic', 'isotonic', 'isometric', 'passive']),
        speed_degps: v.optional(number(0, 1000)),
        load_Nm: v.optional(number(0, 2000)),
        angle_deg: v.optional(number(-360, 360)),
        repetitions: v.pipe(number(1, 200), v.integer()),
        rest_s: number(0, 3600),
        isFamiliarisation: v.optional(v.boolean()),
      }),
    ),
    v.minLength(1, 'needs at least one set'),
  ),
  notes: v.optional(text(2000)),
});

const recording = v.pipe(v.string(), v.regex(/^[A-Za-z0-9._-]{1,80}$/, 'needs a recording id'));
const repetition = v.pipe(number(1, 100_000), v.integer());

/** Whether a phase counts, as a person decided it; the reason is kept beside the computed ones. */
const decision = v.strictObject({
  recording,
  repetition,
  direction: line(64),
  counts: v.boolean(),
  reason: line(400),
});

/** Where a phase begins and ends, as a person moved it. */
const boundary = v.pipe(
  v.strictObject({
    recording,
    repetition,
    direction: line(64),
    start_s: number(0, 1e7),
    end_s: number(0, 1e7),
  }),
  v.check(({ start_s, end_s }) => start_s < end_s, 'start_s must come before end_s'),
);

/** Whose recording it is and what was done, where the start document had it wrong. */
const assignment = v.strictObject({
  recording,
  session: v.optional(line(64)),
  subject: v.optional(code),
  pattern: v.optional(line(64)),
  side: v.optional(side),
  mode: v.optional(v.picklist(['isokinetic', 'isotonic', 'isometric', 'passive'])),
  speed_degps: v.optional(number(0, 1000)),
});

/** The recipe that this recording's results are computed with. */
const analysis = v.strictObject({
  recording,
  recipe: v.record(v.string(), v.unknown()),
});

const note = v.strictObject({
  /** Item or recording it is about. */
  about: line(120),
  text: line(2000),
  tags: v.optional(v.array(line(40))),
});

export const KINDS = {
  subject,
  session,
  station,
  calibration,
  position,
  protocol,
  decision,
  boundary,
  assignment,
  analysis,
  note,
} as const;

export type Kind = keyof typeof KINDS;
export type Body<K extends Kind = Kind> = v.InferOutput<(typeof KINDS)[K]>;

export const KIND_NAMES = Object.keys(KINDS).filter(isKind);

export function isKind(name: string): name is Kind {
  return Object.hasOwn(KINDS, name);
}

/** The recording an item belongs to: its entries are kept in that recording's folder. */
export function recordingOf(body: object): string | null {
  return 'recording' in body && typeof body.recording === 'string' ? body.recording : null;
}

/**
 * The item's own id where the thing itself gives one, so that two stations mean the same item;
 * null where each new item is a new thing.
 */
export function naturalId(kind: Kind, body: object): string | null {
  const of = (name: string) => {
    const value: unknown = Reflect.get(body, name);
    return typeof value === 'string' || typeof value === 'number' ? String(value) : '';
  };
  switch (kind) {
    case 'subject':
      return of('code');
    case 'station':
      return of('name');
    case 'assignment':
    case 'analysis':
      return of('recording');
    case 'decision':
    case 'boundary':
      return `${of('recording')}:${of('repetition')}:${of('direction')}`;
    case 'session':
    case 'calibration':
    case 'position':
    case 'protocol':
    case 'note':
      return null;
  }
}
