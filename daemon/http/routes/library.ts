/** Routes of the recordings on the disk: the list, and what is in one of them. */
import * as v from 'valibot';
import { resultsSchema } from '../../pipeline/results.ts';
import { samplesOf, tableOf } from '../../pipeline/table.ts';
import type { Station } from '../../station.ts';
import type { OpenedRecording } from '../../station-library.ts';
import { readOverview } from '../../store/overview.ts';
import { Problem } from '../problem.ts';
import { csvRoute, jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';

/** More points than a screen has pixels in a row. */
const MOST_POINTS = 8_000;
/** Values a column in one answer: a minute at 1 kHz, some megabytes of JSON. */
const MOST_SAMPLES = 60_000;

const text = v.string();
const count = v.pipe(v.number(), v.integer(), v.minValue(0));
const byId = v.strictObject({ id: v.pipe(text, v.maxLength(96)) });
const NOT_FOUND = { 404: 'There is no such recording.' };

const entrySchema = v.strictObject({
  id: text,
  status: v.picklist(['recording', 'open', 'damaged', 'complete', 'recovered', 'repaired']),
  name: text,
  startedAt: text,
  subject: text,
  pattern: text,
  side: text,
  mode: text,
  samples: count,
  duration_s: v.number(),
});

const list = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/recordings',
  about: 'All recordings, newest first.',
  reply: v.strictObject({ recordings: v.array(entrySchema) }),
  run: async (station) => ({ recordings: [...(await station.archive.library.list())] }),
});

const document = v.nullable(v.looseObject({ id: text }));

const one = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/recordings/{id}',
  about: 'Its documents, columns, extent and events.',
  path: byId,
  reply: v.strictObject({
    id: text,
    start: document,
    stop: document,
    rate_Hz: v.number(),
    duration_s: v.number(),
    columns: v.array(v.strictObject({ name: text, unit: text })),
    events: v.array(v.looseObject({ kind: text, at: v.number() })),
    troubles: v.array(text),
  }),
  problems: NOT_FOUND,
  run: (station, { path }) => {
    const { recording, rate_Hz, firstIndex, endIndex, columns } = openOr404(station, path.id);
    const { id, start, stop, events, troubles } = recording;
    return {
      id,
      start,
      stop,
      rate_Hz,
      duration_s: rate_Hz > 0 ? (endIndex - firstIndex) / rate_Hz : 0,
      columns: [...columns],
      events: events.map((event) => ({ ...event, at_s: (event.at - firstIndex) / rate_Hz })),
      troubles: troubles.map(({ file, trouble }) => `${file}: ${trouble}`),
    };
  },
});

/** A number typed in a query; its value is taken as a number. */
function numberText(least: number, most: number) {
  return v.pipe(
    text,
    v.regex(/^-?\d+(\.\d+)?$/, 'must be a number'),
    v.transform(Number),
    v.minValue(least, `at least ${least}`),
    v.maxValue(most, `at most ${most}`),
  );
}

/** Seconds from the recording's first sample; without them, all of it. */
const seconds = v.optional(numberText(0, 1e8));

const values = v.array(v.nullable(v.number()));

const overview = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/recordings/{id}/overview',
  about: 'Least and greatest value of a column in equal stretches of time; null where none is.',
  path: byId,
  query: v.strictObject({
    column: v.pipe(text, v.maxLength(100)),
    from: seconds,
    to: seconds,
    points: v.optional(numberText(1, MOST_POINTS), '1000'),
  }),
  reply: v.strictObject({
    column: text,
    unit: text,
    from_s: v.number(),
    to_s: v.number(),
    min: values,
    max: values,
  }),
  problems: { 404: 'There is no such recording, or no such column in it.' },
  run: async (station, { path, query }) => {
    const opened = openOr404(station, path.id);
    const { from_s, to_s, fromIndex, toIndex } = rangeOf(opened, query);
    const { column, points: buckets } = query;
    const found = await readOverview(opened.recording, { column, fromIndex, toIndex, buckets });
    if (!found) {
      const known = opened.columns.map(({ name }) => name).join(', ');
      throw new Problem(404, `It has no column ${column}; there are ${known}.`);
    }
    return { column, unit: found.unit, from_s, to_s, min: nulls(found.min), max: nulls(found.max) };
  },
});

const samples = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/recordings/{id}/samples',
  about: `Calibrated samples, at most ${MOST_SAMPLES} a column; null where none is.`,
  path: byId,
  query: v.strictObject({ from: seconds, to: seconds }),
  reply: v.strictObject({
    rate_Hz: v.number(),
    from_s: v.number(),
    columns: v.record(text, values),
  }),
  problems: { ...NOT_FOUND, 413: 'The stretch is too long for one answer.' },
  run: (station, { path, query }) => {
    const opened = openOr404(station, path.id);
    const { from_s, fromIndex, toIndex } = rangeOf(opened, query);
    if (toIndex - fromIndex > MOST_SAMPLES) {
      throw new Problem(413, `At most ${MOST_SAMPLES} samples at a time; ask for less at once.`);
    }
    const columns = samplesOf(opened.recording, { fromIndex, toIndex });
    return { rate_Hz: opened.rate_Hz, from_s, columns };
  },
});

const analysis = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/recordings/{id}/analysis',
  about: 'Repetitions and measures of the whole recording, by the very code of `analyze`.',
  path: byId,
  reply: resultsSchema,
  problems: { ...NOT_FOUND, 422: 'It holds nothing that can be analysed.' },
  run: async (station, { path }) => {
    openOr404(station, path.id);
    const found = await station.archive.library.results(path.id);
    if ('problem' in found) throw new Problem(422, found.problem);
    return found.results;
  },
});

const table = csvRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/recordings/{id}/table.csv',
  about: 'All calibrated samples as a plain table.',
  path: byId,
  problems: NOT_FOUND,
  run: (station, { path }) => tableOf(openOr404(station, path.id).recording),
});

export const LIBRARY_ROUTES: readonly Route[] = [list, one, overview, samples, analysis, table];

function openOr404(station: Station, id: string): OpenedRecording {
  const opened = station.archive.library.open(id);
  if (!opened) throw new Problem(404, NOT_FOUND[404]);
  return opened;
}

function rangeOf(
  { rate_Hz, firstIndex, endIndex }: OpenedRecording,
  { from = 0, to = Infinity }: { from?: number | undefined; to?: number | undefined },
) {
  const fromIndex = Math.min(firstIndex + Math.floor(from * rate_Hz), endIndex);
  const toIndex = Math.min(firstIndex + Math.ceil(to * rate_Hz), endIndex);
  if (fromIndex >= toIndex) throw new Problem(400, 'query to: must be after from, within it');
  const from_s = (fromIndex - firstIndex) / rate_Hz;
  return { fromIndex, toIndex, from_s, to_s: (toIndex - firstIndex) / rate_Hz };
}

function nulls(column: Float64Array): (number | null)[] {
  return Array.from(column, (value) => (Number.isNaN(value) ? null : value));
}
