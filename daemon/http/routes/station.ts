/** Routes of the station itself: health, source, wiring, set-up, joint patterns. */
import * as v from 'valibot';
import { PATTERNS } from '../../../shared/joints/index.ts';
import type { JointPattern } from '../../../shared/joints/pattern.ts';
import { healthOf, healthSchema } from '../../../shared/wire/health.ts';
import { setupSchema } from '../../../shared/wire/setup.ts';
import { wiringSchema } from '../../../shared/wiring/schema.ts';
import { Problem } from '../problem.ts';
import { jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';

const health = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/health',
  about: 'Whether samples arrive and, when recording, are saved.',
  reply: healthSchema,
  run: (station) => healthOf(station.state()),
});

const sourceSchema = v.strictObject({
  url: v.string(),
  kind: v.picklist(['device', 'simulated', 'replay']),
  state: v.picklist(['connecting', 'live', 'stale', 'lost']),
  detail: v.string(),
});

const readSource = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/source',
  about: 'Where the samples come from.',
  reply: sourceSchema,
  run: (station) => {
    const { url, kind, state, detail } = station.state().source;
    return { url, kind, state, detail };
  },
});

const changeSource = jsonRoute({
  ...TAKES_NOTHING,
  method: 'PUT',
  url: '/api/source',
  about: 'Takes samples from elsewhere, by a URL in the form of --source.',
  body: v.strictObject({ url: v.pipe(v.string(), v.minLength(1), v.maxLength(1024)) }),
  reply: v.strictObject({ url: v.string() }),
  problems: { 409: 'A recording is under way.' },
  run: async (station, { body }) => {
    if (station.state().recording) {
      throw new Problem(409, 'A recording is under way; stop it before changing the source.');
    }
    const refused = await station.changeSource(body.url);
    if (refused !== null) throw new Problem(400, refused);
    return { url: station.state().source.url };
  },
});

const wiringReply = v.strictObject({ wiring: v.nullable(wiringSchema) });

const readWiring = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/wiring',
  about: 'The wiring in use; null when the device describes its channels itself.',
  reply: wiringReply,
  run: (station) => ({ wiring: station.wiring }),
});

const changeWiring = jsonRoute({
  ...TAKES_NOTHING,
  method: 'PUT',
  url: '/api/wiring',
  about: 'Takes a wiring, in the form of a wiring file, or null for none.',
  body: v.strictObject({ wiring: v.nullable(v.looseObject({})) }),
  reply: wiringReply,
  problems: { 409: 'A recording is under way.' },
  run: async (station, { body }) => {
    if (station.state().recording) {
      throw new Problem(409, 'A recording is under way; stop it before changing the wiring.');
    }
    const problems = await station.changeWiring(body.wiring);
    if (problems.length > 0) throw new Problem(400, problems.join('; '));
    return { wiring: station.wiring };
  },
});

const readSetup = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/setup',
  about: 'What is being tested.',
  reply: setupSchema,
  run: (station) => station.state().setup,
});

const changeSetup = jsonRoute({
  ...TAKES_NOTHING,
  method: 'PUT',
  url: '/api/setup',
  about: 'States what is being tested. It goes into the next recording.',
  body: setupSchema,
  reply: setupSchema,
  problems: { 409: 'A recording is under way.' },
  run: async (station, { body }) => {
    if (station.state().recording) {
      throw new Problem(409, 'A recording is under way; its set-up is part of it.');
    }
    if (!PATTERNS.some(({ id }) => id === body.pattern)) {
      throw new Problem(400, 'body pattern: not one of /api/patterns');
    }
    return station.changeSetup(body);
  },
});

const text = v.string();
const patternSchema = v.looseObject({
  id: text,
  name: text,
  joint: text,
  rising: text,
  falling: text,
  usualRange_deg: v.tuple([v.number(), v.number()]),
  usualSpeeds_degps: v.array(v.number()),
});

const patterns = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/patterns',
  about: 'Joint patterns: which movement is positive, landmarks, usual ranges and speeds.',
  reply: v.strictObject({ patterns: v.array(patternSchema) }),
  run: () => ({ patterns: PATTERNS.map(patternReply) }),
});

function patternReply(pattern: JointPattern): v.InferOutput<typeof patternSchema> {
  const [least, most] = pattern.usualRange_deg;
  const usualSpeeds_degps = [...pattern.usualSpeeds_degps];
  return { ...pattern, usualRange_deg: [least, most], usualSpeeds_degps };
}

export const STATION_ROUTES: readonly Route[] = [
  health,
  readSource,
  changeSource,
  readWiring,
  changeWiring,
  readSetup,
  changeSetup,
  patterns,
];
