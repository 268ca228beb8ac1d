/** Routes of the recording under way: start, stop, marks, flags that somebody has seen. */
import * as v from 'valibot';
import { Problem } from '../problem.ts';
import { jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';

const statusSchema = v.strictObject({
  id: v.string(),
  name: v.string(),
  startedAt: v.string(),
  samples: v.number(),
  durableSamples: v.number(),
  trouble: v.string(),
});

const line = (most: number) =>
  v.pipe(
    v.string(),
    v.trim(),
    v.minLength(1, 'must not be empty'),
    v.maxLength(most, `at most ${most} characters`),
    v.regex(/^[^\p{Cc}]*$/u, 'must not hold control characters'),
  );

const start = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/recordings',
  about: 'Starts a recording. Samples are kept from the next block on.',
  body: v.strictObject({ name: line(120) }),
  reply: statusSchema,
  status: 201,
  problems: { 409: 'A recording is under way.', 507: 'The disk cannot take a recording.' },
  run: async (station, { body }) => {
    const underWay = station.state().recording;
    if (underWay) throw new Problem(409, `"${underWay.name}" is being recorded; stop it first.`);
    const refused = await station.startRecording(body.name);
    if (refused !== null) throw new Problem(507, refused);
    const begun = station.state().recording;
    if (!begun) throw new Problem(409, 'It was stopped at once.');
    return begun;
  },
});

const stop = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/recordings/current/stop',
  about: 'Stops the recording. Answered when its closing document is on the disk.',
  reply: v.strictObject({
    id: v.string(),
    status: v.picklist(['complete', 'recovered', 'repaired']),
    samples: v.number(),
    missing: v.number(),
    gaps: v.number(),
  }),
  problems: { 409: 'Nothing is being recorded.' },
  run: async (station) => {
    const stopped = await station.stopRecording('stopped by a person');
    if (!stopped) throw new Problem(409, 'Nothing is being recorded.');
    const { id, status, samples, missing, gaps } = stopped;
    return { id, status, samples, missing, gaps };
  },
});

const mark = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/markers',
  about: 'Notes something at the present moment of the recording.',
  body: v.strictObject({ text: line(500) }),
  reply: v.strictObject({ index: v.number() }),
  status: 201,
  problems: { 409: 'Nothing is being recorded.' },
  run: (station, { body }) => {
    const index = station.mark(body.text);
    if (index === null) throw new Problem(409, 'Nothing is being recorded to mark.');
    return { index };
  },
});

const acknowledge = jsonRoute({
  ...TAKES_NOTHING,
  method: 'POST',
  url: '/api/flags/{id}/acknowledge',
  about: 'Says that a person has seen a flag. It stays in the list.',
  path: v.strictObject({ id: v.pipe(v.string(), v.regex(/^\d{1,9}$/, 'a number')) }),
  reply: v.strictObject({ acknowledged: v.literal(true) }),
  run: (station, { path }) => {
    if (!station.acknowledgeFlag(Number(path.id))) {
      throw new Problem(404, 'There is no such flag; the oldest are forgotten first.');
    }
    return { acknowledged: true as const };
  },
});

export const RECORDING_ROUTES: readonly Route[] = [start, stop, mark, acknowledge];
