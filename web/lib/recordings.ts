/** What the daemon tells of kept recordings, read at the edge: types here, checks in the readers. */
import type { Phase } from '../../shared/analysis-types.ts';
import type { Flag } from '../../shared/flags/flag.ts';
import { isRecord } from './message.ts';

export const STATUSES = [
  'recording',
  'open',
  'complete',
  'recovered',
  'repaired',
  'damaged',
] as const;
export type RecordingStatusWord = (typeof STATUSES)[number];

export interface Entry {
  readonly id: string;
  readonly status: RecordingStatusWord;
  readonly name: string;
  readonly startedAt: string;
  readonly subject: string;
  readonly pattern: string;
  readonly side: string;
  readonly mode: string;
  readonly samples: number;
  readonly duration_s: number;
}

export interface Opened {
  readonly id: string;
  readonly start: Readonly<Record<string, unknown>> | null;
  readonly stop: Readonly<Record<string, unknown>> | null;
  readonly rate_Hz: number;
  readonly duration_s: number;
  readonly columns: readonly string[];
  /** `at` in the stream, `at_s` in this recording. */
  readonly events: readonly { readonly kind: string; readonly at: number; readonly at_s: number }[];
  readonly troubles: readonly string[];
}

/** Least and largest value in equal stretches; NaN where nothing is. */
export interface Overview {
  readonly from_s: number;
  readonly to_s: number;
  readonly min: Float32Array;
  readonly max: Float32Array;
}

export interface Samples {
  readonly from_s: number;
  readonly rate_Hz: number;
  readonly columns: Readonly<Record<string, Float32Array>>;
}

export interface Analysis {
  readonly phases: readonly Phase[];
  readonly flags: readonly Flag[];
  readonly recipe: Readonly<Record<string, unknown>>;
  readonly gravity: Readonly<Record<string, unknown>>;
  readonly inferred: Readonly<Record<string, unknown>>;
}

export function readEntries(body: unknown): readonly Entry[] | null {
  if (!isRecord(body) || !Array.isArray(body['recordings'])) return null;
  return body['recordings'].filter(isEntry);
}

function isEntry(value: unknown): value is Entry {
  if (!isRecord(value)) return false;
  const hasTexts = [
    'id',
    'status',
    'name',
    'startedAt',
    'subject',
    'pattern',
    'side',
    'mode',
  ].every((key) => typeof value[key] === 'string');
  return (
    hasTexts && typeof value['samples'] === 'number' && typeof value['duration_s'] === 'number'
  );
}

export function readOpened(body: unknown): Opened | null {
  if (!isRecord(body) || typeof body['id'] !== 'string') return null;
  const { rate_Hz, duration_s } = body;
  if (typeof rate_Hz !== 'number' || typeof duration_s !== 'number') return null;
  return {
    id: body['id'],
    start: isRecord(body['start']) ? body['start'] : null,
    stop: isRecord(body['stop']) ? body['stop'] : null,
    rate_Hz,
    duration_s,
    columns: records(body['columns']).map(({ name }) => textOf(name)),
    events: records(body['events']).flatMap(({ kind, at, at_s }) =>
      typeof at === 'number' && typeof at_s === 'number' ? [{ kind: textOf(kind), at, at_s }] : [],
    ),
    troubles: Array.isArray(body['troubles']) ? body['troubles'].map(textOf) : [],
  };
}

export function readOverview(body: unknown): Overview | null {
  if (!isRecord(body)) return null;
  const { from_s, to_s } = body;
  const min = column(body['min']);
  const max = column(body['max']);
  if (typeof from_s !== 'number' || typeof to_s !== 'number' || !min || !max) return null;
  return { from_s, to_s, min, max };
}

export function readSamples(body: unknown): Samples | null {
  if (!isRecord(body) || !isRecord(body['columns'])) return null;
  const { from_s, rate_Hz } = body;
  if (typeof from_s !== 'number' || typeof rate_Hz !== 'number') return null;
  const columns: Record<string, Float32Array> = {};
  for (const [name, values] of Object.entries(body['columns'])) {
    const read = column(values);
    if (read) columns[name] = read;
  }
  return { from_s, rate_Hz, columns };
}

export function readAnalysis(body: unknown): Analysis | null {
  if (!isRecord(body) || !Array.isArray(body['phases']) || !Array.isArray(body['flags']))
    return null;
  return {
    phases: body['phases'].filter((phase): phase is Phase => isRecord(phase) && 'start_s' in phase),
    flags: body['flags'].filter((flag): flag is Flag => isRecord(flag) && 'kind' in flag),
    recipe: isRecord(body['recipe']) ? body['recipe'] : {},
    gravity: isRecord(body['gravity']) ? body['gravity'] : {},
    inferred: isRecord(body['inferred']) ? body['inferred'] : {},
  };
}

/** The text of a document's member; empty when it is something else. */
export function textOf(value: unknown): string {
  return typeof value === 'string' ? value : '';
}

export function numberOf(value: unknown): number | null {
  return typeof value === 'number' && Number.isFinite(value) ? value : null;
}

/** JSON has no NaN: what is missing comes as null. */
function column(values: unknown): Float32Array | null {
  if (!Array.isArray(values)) return null;
  return Float32Array.from(values, (value: unknown) =>
    typeof value === 'number' ? value : Number.NaN,
  );
}

function records(value: unknown): readonly Record<string, unknown>[] {
  return Array.isArray(value) ? value.filter(isRecord) : [];
}
