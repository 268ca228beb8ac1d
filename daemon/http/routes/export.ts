/** Routes of exports: what would leave, a job with its progress, its files, and calling it off. */
import { createReadStream } from 'node:fs';
import * as v from 'valibot';
import { codeWarnings } from '../../../shared/catalogue/subject-code.ts';
import { EXPORTERS } from '../../exporters/index.ts';
import { type ExportJob, MOST_RECORDINGS } from '../../exporters/jobs.ts';
import { previewExport } from '../../exporters/preview.ts';
import type { Station } from '../../station.ts';
import { recordingFolder } from '../../store/file-names.ts';
import { Problem } from '../problem.ts';
import { fileRoute, jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';
import { filterOf, filterSchema } from './sets.ts';

/** Each is read as a whole before anything is shown. */
const MOST_PREVIEWS = 50;

const text = v.string();
const count = v.pipe(v.number(), v.integer(), v.minValue(0));
const texts = v.array(text);
const format = v.picklist(EXPORTERS.map(({ id }) => id));
const byId = v.strictObject({ id: v.pipe(text, v.maxLength(40)) });
const NO_JOB = { 404: 'There is no such export; the oldest are forgotten first.' };
const NOT_FOUND = { 404: 'There is no such recording.', 409: 'It is still being recorded.' };

/** Either recordings by their ids, or a filter as /api/sets takes it. */
const chosen = {
  recordings: v.optional(v.pipe(texts, v.minLength(1), v.maxLength(MOST_RECORDINGS))),
  filter: v.optional(filterSchema),
} as const;

const jobSchema = v.strictObject({
  id: text,
  format,
  recordings: texts,
  state: v.picklist(['waiting', 'running', 'done', 'failed', 'cancelled']),
  progress: v.number(),
  files: v.array(v.strictObject({ name: text, bytes: count })),
  problems: texts,
});

const start = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/exports',
  about: 'Begins to export recordings, or the sets that fit a filter; ask for its progress.',
  body: v.strictObject({ format, ...chosen }),
  reply: jobSchema,
  status: 201,
  problems: NOT_FOUND,
  run: async (station, { body }) =>
    sent(station.archive.exports.start(body.format, await recordingsOf(station, body))),
});

const preview = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/exports/preview',
  about: `What would leave, of the first ${MOST_PREVIEWS} recordings; writes nothing.`,
  body: v.strictObject(chosen),
  reply: v.strictObject({
    total: count,
    recordings: v.array(
      v.strictObject({
        ...{ recording: text, subject: text, samples: count },
        ...{ columns: texts, texts, provenance: texts, warnings: texts, problem: text },
      }),
    ),
  }),
  problems: NOT_FOUND,
  run: async (station, { body }) => {
    const ids = await recordingsOf(station, body);
    const previews = ids.slice(0, MOST_PREVIEWS).map((id) => {
      const one = previewExport(recordingFolder(station.archive.dataFolder, id));
      const { columns, texts: typed, provenance, warnings, ...rest } = one;
      return {
        ...{ ...rest, columns: [...columns], texts: [...typed] },
        ...{ provenance: [...provenance], warnings: [...warnings] },
      };
    });
    return { total: ids.length, recordings: previews };
  },
});

const list = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/exports',
  about: 'Exports of this station since it started, newest first.',
  reply: v.strictObject({ exports: v.array(jobSchema) }),
  run: ({ archive }) => ({ exports: archive.exports.list().map(sent) }),
});

const one = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/exports/{id}',
  about: 'How far an export is, and its files.',
  path: byId,
  reply: jobSchema,
  problems: NO_JOB,
  run: ({ archive }, { path }) => jobOr404(archive.exports.get(path.id)),
});

const cancel = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/exports/{id}/cancel',
  about: 'Calls an export off; its files are removed. One that is done stays done.',
  path: byId,
  reply: jobSchema,
  problems: NO_JOB,
  run: async ({ archive }, { path }) => jobOr404(await archive.exports.cancel(path.id)),
});

const file = fileRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/exports/{id}/files/{name}',
  about: 'One file of an export.',
  path: v.strictObject({ ...byId.entries, name: v.pipe(text, v.maxLength(200)) }),
  problems: { 404: 'The export has no such file.' },
  run: ({ archive }, { path }) => {
    const place = archive.exports.file(path.id, path.name);
    if (place === null) throw new Problem(404, 'The export has no such file.');
    return { name: path.name, content: createReadStream(place) };
  },
});

const warnings = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/subject-codes/{id}',
  about: 'Whether a code looks like a name or a date of birth, in words; empty when it does not.',
  path: byId,
  reply: v.strictObject({ warnings: texts }),
  run: (_, { path }) => ({ warnings: codeWarnings(path.id) }),
});

export const EXPORT_ROUTES: readonly Route[] = [start, preview, list, one, cancel, file, warnings];

async function recordingsOf(
  { archive }: Station,
  {
    recordings,
    filter,
  }: { recordings?: string[] | undefined; filter?: v.InferOutput<typeof filterSchema> | undefined },
): Promise<readonly string[]> {
  if ((recordings === undefined) === (filter === undefined)) {
    throw new Problem(400, 'body: give either recordings or a filter');
  }
  const { library, sets } = archive;
  // A filter over half of the library would leave out the other half unseen.
  if (filter !== undefined) await sets.settled();
  const isUnderWay = (id: string) => library.entry(id)?.status === 'recording';
  const ids = recordings ?? sets.ids(filterOf(filter ?? {})).filter((id) => !isUnderWay(id));
  for (const id of ids) {
    if (library.entry(id) === null) throw new Problem(404, NOT_FOUND[404]);
    if (isUnderWay(id)) throw new Problem(409, 'It is being recorded; stop it first.');
  }
  if (ids.length === 0) throw new Problem(404, 'No set fits this filter.');
  if (ids.length > MOST_RECORDINGS) {
    throw new Problem(413, `At most ${MOST_RECORDINGS} recordings at a time.`);
  }
  return ids;
}

function jobOr404(job: ExportJob | null): v.InferOutput<typeof jobSchema> {
  if (!job) throw new Problem(404, NO_JOB[404]);
  return sent(job);
}

function sent(job: ExportJob): v.InferOutput<typeof jobSchema> {
  const { recordings, files, problems } = job;
  return {
    ...job,
    recordings: [...recordings],
    files: files.map((one_) => ({ ...one_ })),
    problems: [...problems],
  };
}
