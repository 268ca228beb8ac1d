/**
 * What the catalogue keeps: the kinds of item and the form of each, one schema for API, log and types.
 * Items change only by entries (entry.ts); raw samples are never in here.
 */
import * as v from 'valibot';
import { analysis, assignment, boundary, decision, removal, retention } from './edits.ts';
import { code, line, mode, number, side, text } from './fields.ts';
import { polarity, weighing } from '../preparation/documents.ts';
import { FIGURE_PLACES } from '../preparation/position.ts';

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
    v.array(
      v.strictObject({
        name: line(64),
        unit: text(16),
        isMirrored: v.boolean(),
        group: v.optional(line(64)),
        place: v.optional(v.picklist(FIGURE_PLACES)),
        least: v.optional(number(-10_000, 10_000)),
        most: v.optional(number(-10_000, 10_000)),
      }),
    ),
  ),
  /** Alignment checks in this site's order and words, by joint pattern. */
  checks: v.optional(v.record(line(64), v.array(line(400)))),
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
  /** Alignment checks that were done, in their words. */
  checks: v.optional(v.array(line(400))),
  notes: v.optional(text(2000)),
});

const protocol = v.strictObject({
  name: line(80),
  pattern: line(64),
  sets: v.pipe(
    v.array(
      v.strictObject({
        mode,
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
  weighing,
  polarity,
  protocol,
  decision,
  boundary,
  assignment,
  analysis,
  retention,
  removal,
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
    case 'retention':
    case 'removal':
      return of('about');
    case 'decision':
    case 'boundary':
      return `${of('recording')}:${of('repetition')}:${of('direction')}`;
    case 'session':
    case 'calibration':
    case 'position':
    case 'weighing':
    case 'polarity':
    case 'protocol':
    case 'note':
      return null;
  }
}
