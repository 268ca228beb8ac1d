/**
 * The documents around a recording's samples: what was known at its start, what happened, how it ended.
 * Only checked JSON becomes one of these types; members that are not listed here are kept as they are.
 */
import * as v from 'valibot';
import { RECORDING_VERSION, versionTrouble } from './version.ts';

/** An integer count or index; JSON numbers are exact up to 2^53. */
const count = v.pipe(v.number(), v.safeInteger(), v.minValue(0));
const sampleType = v.picklist(['int16', 'int24', 'float32', 'float64']);
const json = v.record(v.string(), v.unknown());
const version = v.literal(RECORDING_VERSION);

export const channelSchema = v.object({
  name: v.string(),
  unit: v.string(),
  type: sampleType,
  scale: v.optional(v.object({ unit: v.string(), slope: v.number(), offset: v.number() })),
  rawMin: v.optional(v.number()),
  rawMax: v.optional(v.number()),
});

export const formatSchema = v.object({
  rate_Hz: v.pipe(v.number(), v.gtValue(0)),
  channels: v.pipe(v.array(channelSchema), v.minLength(1), v.readonly()),
  integrity: v.picklist(['crc32', 'text']),
  notes: v.record(v.string(), v.string()),
});

/** What is being tested; everything a person may leave open is optional. */
const conditionsEntries = {
  subject: v.optional(v.string()),
  pattern: v.optional(v.string()),
  side: v.optional(v.picklist(['left', 'right'])),
  mode: v.optional(v.picklist(['isokinetic', 'isotonic', 'isometric', 'passive'])),
  speed_degps: v.optional(v.number()),
  load_Nm: v.optional(v.number()),
  bodyMass_kg: v.optional(v.number()),
  repetitions: v.optional(count),
  /** Limits that warn, [least, most]. */
  rangeLimits_deg: v.optional(v.pipe(v.tuple([v.number(), v.number()]), v.readonly())),
  torqueLimit_Nm: v.optional(v.number()),
};

const startEntries = {
  document: v.literal('start'),
  version,
  id: v.string(),
  /** What a person called it; any characters. */
  name: v.string(),
  /** Wall clock, ISO 8601 UTC. */
  startedAt: v.string(),
  /** The host's monotonic clock at the same moment: ties the blocks' arrival times to `startedAt`. */
  startedAt_ns: v.number(),
  /** Name and version of the program that wrote it. */
  software: v.string(),
  station: v.string(),
  source: v.object({
    /** As typed, without secrets. */
    url: v.string(),
    kind: v.picklist(['device', 'simulated', 'replay']),
    /** Wire format, e.g. `packets`; empty while it was not known yet. */
    format: v.string(),
  }),
  /** What the device had announced by then; the stream files carry what really came. */
  stream: v.nullable(formatSchema),
  conditions: v.looseObject(conditionsEntries),
  /** The wiring with its calibrations, as it was read; null for none. */
  wiring: v.nullable(json),
  /** Weight of limb and attachment (see shared/gravity); null when it was not known. */
  gravity: v.nullable(json),
  /** How that weight was found; null when it was not, absent from older recordings. */
  weighing: v.optional(v.nullable(json)),
  /** The polarity check before it, and the position of chair, motor and attachment; likewise. */
  polarity: v.optional(v.nullable(json)),
  position: v.optional(v.nullable(json)),
  /** The recipe that the live numbers were computed with; null for none. */
  recipe: v.nullable(json),
};

const rangeSchema = v.object({
  /** Stream indices, half-open. */
  fromIndex: count,
  toIndex: count,
  reason: v.string(),
});

const fileSchema = v.object({
  name: v.string(),
  bytes: count,
  sha256: v.string(),
});

const segmentSchema = v.object({
  ...fileSchema.entries,
  rate_Hz: v.number(),
  blocks: count,
  damagedBlocks: count,
  samples: count,
  /** Places of missing samples between this file's first and last. */
  missing: count,
  gaps: count,
  firstIndex: count,
  /** One past the last sample; equal to `firstIndex` in a file without samples. */
  endIndex: count,
  /** SHA-256 over the samples alone, however they are packed; see the README. */
  runsSha256: v.string(),
  columnsSha256: v.array(v.string()),
});

const stopEntries = {
  document: v.literal('stop'),
  version,
  id: v.string(),
  /** `complete`: closed by the program that recorded. `recovered`: closed by a later start. */
  status: v.picklist(['complete', 'recovered', 'repaired']),
  /** Why it ended, in words. */
  reason: v.string(),
  /** Wall clock when this was written, ISO 8601 UTC. */
  stoppedAt: v.string(),
  /** Samples in all stream files; one that stands in two files counts once. */
  samples: count,
  missing: count,
  gaps: count,
  /** Of the stream's index; one past the last. Equal without samples. */
  firstIndex: count,
  endIndex: count,
  events: count,
  /** Events that found no room while the disk took nothing; left out when there are none. */
  eventsLost: v.optional(count),
  /** Bytes that no decoder could read, also those beyond the limit of what is kept. */
  undecodedBytes: count,
  /** Samples that arrived and could not be kept. Empty is the rule. */
  lost: v.array(rangeSchema),
  segments: v.array(segmentSchema),
  /** Every other file of the folder that is part of the recording. */
  files: v.array(fileSchema),
  /** Unfinished ends that recovery cut off and kept beside the files. */
  torn: v.array(v.object({ name: v.string(), from: v.string(), offset: count, bytes: count })),
};

const eventSchema = v.object({
  /** 0 for the first event of a recording, then 1, 2 ... */
  sequence: count,
  kind: v.string(),
  /** Index in the stream that it belongs to, a fraction where it lies between samples. */
  at: v.number(),
  /** Wall clock, ISO 8601 UTC. */
  time: v.string(),
  detail: json,
});

export type Conditions = InferEntries<typeof conditionsEntries>;
export type StartDocument = InferEntries<typeof startEntries>;
export type StopDocument = InferEntries<typeof stopEntries>;
export type SegmentSummary = v.InferOutput<typeof segmentSchema>;
export type FileSummary = v.InferOutput<typeof fileSchema>;
export type LostRange = v.InferOutput<typeof rangeSchema>;
export type RecordingEvent = v.InferOutput<typeof eventSchema>;

/** The listed members alone; further ones are carried along unseen. */
type InferEntries<E extends v.ObjectEntries> = v.InferOutput<v.ObjectSchema<E, undefined>>;

export type Parsed<T> = { readonly value: T } | { readonly trouble: string };

export function parseStart(value: unknown): Parsed<StartDocument> {
  return parse(v.looseObject(startEntries), value);
}

export function parseStop(value: unknown): Parsed<StopDocument> {
  return parse(v.looseObject(stopEntries), value);
}

export function parseEvent(value: unknown): Parsed<RecordingEvent> {
  return parse(eventSchema, value);
}

function parse<S extends v.GenericSchema>(schema: S, value: unknown): Parsed<v.InferOutput<S>> {
  const other = v.safeParse(v.object({ version: v.number() }), value);
  const trouble = other.success ? versionTrouble(other.output.version) : null;
  if (trouble !== null) return { trouble };
  const result = v.safeParse(schema, value);
  if (result.success) return { value: result.output };
  const [issue] = result.issues;
  return { trouble: `${v.getDotPath(issue) ?? 'it'}: ${issue.message}` };
}
