/**
 * Every route of the list: described in the OpenAPI document, answers by its own schema, and refuses
 * what is wrong with a problem document in words (RFC 9457) that leaks neither stack nor path.
 */
import * as v from 'valibot';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Route } from '../../daemon/http/route.ts';
import { ROUTES } from '../../daemon/http/routes/index.ts';
import { DEMO_SETUP } from '../../shared/wire/setup.ts';
import { accessRequests } from '../support/access-requests.ts';
import { catalogueRequests, type GoodRequest } from '../support/catalogue-requests.ts';
import { preparationRequests } from '../support/preparation-requests.ts';
import { runRequests } from '../support/run-requests.ts';
import { openTestStation, type TestStation } from '../support/station.ts';

let test: TestStation;
/** A recording of some 300 ms, made through the API. */
let recorded = '';

beforeAll(async () => {
  test = await openTestStation();
  while ((await json('GET', '/api/health')).body.source?.state !== 'live') await sleep(20);
  await json('POST', '/api/recordings', { name: 'contract' });
  await json('POST', '/api/markers', { text: 'here' });
  await sleep(300);
  recorded = (await json('POST', '/api/recordings/current/stop')).body.id ?? '';
});
afterAll(() => test.close());

const sleep = (time_ms: number) => new Promise((resolve) => setTimeout(resolve, time_ms));

/** What these tests look at in any reply; the route's own schema checks the rest. */
const looked = v.looseObject({
  id: v.optional(v.string()),
  detail: v.optional(v.string()),
  source: v.optional(v.looseObject({ state: v.string() })),
});

function send(method: string, path: string, body?: unknown, headers: Record<string, string> = {}) {
  return fetch(test.url + path, {
    method,
    headers: body === undefined ? headers : { 'Content-Type': 'application/json', ...headers },
    body: body === undefined ? null : typeof body === 'string' ? body : JSON.stringify(body),
  });
}

async function json(method: string, path: string, body?: unknown) {
  const response = await send(method, path, body);
  return { status: response.status, body: v.parse(looked, await response.json()) };
}

/** A good request for each route that needs more than its address; run in the order of the list. */
const REQUESTS: Readonly<Record<string, GoodRequest>> = {
  ...catalogueRequests(() => ({ url: test.url, recording: recorded })),
  ...preparationRequests,
  ...runRequests,
  ...accessRequests,
  'PUT /api/source': { body: { url: 'demo:' } },
  'PUT /api/wiring': { body: { wiring: null } },
  'PUT /api/setup': { body: { ...DEMO_SETUP, repetitions: 7 } },
  'POST /api/recordings': { body: { name: 'Set 1, right' } },
  'POST /api/markers': { body: { text: 'coughed' } },
  'GET /api/recordings/{id}/overview': {
    url: () => `/api/recordings/${recorded}/overview?column=torque_Nm&points=50`,
  },
  'GET /api/recordings/{id}/samples': {
    url: () => `/api/recordings/${recorded}/samples?from=0.1&to=0.2`,
  },
};
/** Those that need the station to be in a state come in this order; the others in any. */
const ORDER = ['POST /api/recordings', 'POST /api/markers', 'POST /api/recordings/current/stop'];

const nameOf = ({ method, url }: Route) => `${method} ${url}`;
const rank = (route: Route) => ORDER.indexOf(nameOf(route));
const ROUTES_IN_ORDER = [...ROUTES].sort((a, b) => rank(a) - rank(b));
const WITHOUT_FLAG = ROUTES_IN_ORDER.filter(({ url }) => !url.startsWith('/api/flags'));

describe('every route', () => {
  it.each(WITHOUT_FLAG.map((route) => [nameOf(route), route] as const))(
    '%s answers by its schema',
    async (name, route) => {
      const { url, body, refused } = REQUESTS[name] ?? {};
      const address = (await url?.()) ?? route.url.replace('{id}', recorded);
      const response = await send(route.method, address, body);
      const { reply } = route;
      const text = await response.text();
      expect(response.status, text).toBe(refused ?? reply.status);
      if (refused) {
        expect(v.parse(looked, JSON.parse(text)).detail).toMatch(/\w/);
        return;
      }
      expect(response.headers.get('Content-Type')).toContain(reply.type);
      if (reply.type === 'application/json') v.parse(reply.schema, JSON.parse(text));
      else if (reply.type === 'text/csv')
        expect(text).toMatch(/^time_s,torque_Nm,angle_deg.*\n0,-?\d/);
    },
  );

  it.each(ROUTES.map((route) => [nameOf(route), route] as const))(
    '%s is in the OpenAPI document with all its parts',
    async (_, route) => {
      const document = v.parse(
        v.object({ paths: v.record(v.string(), v.record(v.string(), operationSchema)) }),
        await (await send('GET', '/api/openapi.json')).json(),
      );
      const operation = document.paths[route.url]?.[route.method.toLowerCase()];
      const inPath = [...route.url.matchAll(/\{(\w+)\}/g)].map(([, part]) => part);
      const described = operation?.parameters ?? [];
      expect(described.filter((part) => part.in === 'path').map(({ name }) => name)).toEqual(
        inPath,
      );
      expect(Object.keys(operation?.responses ?? {})).toContain(String(route.reply.status));
      expect(operation?.requestBody !== undefined).toBe(
        REQUESTS[nameOf(route)]?.body !== undefined,
      );
    },
  );
});

// Fields that the OpenAPI 3.1.0 specification requires of an operation with these parts (4.8.10).
const operationSchema = v.object({
  operationId: v.string(),
  summary: v.string(),
  parameters: v.optional(
    v.array(
      v.object({
        name: v.string(),
        in: v.picklist(['path', 'query']),
        required: v.boolean(),
        schema: v.looseObject({}),
      }),
    ),
  ),
  requestBody: v.optional(
    v.object({
      content: v.object({ 'application/json': v.object({ schema: v.looseObject({}) }) }),
    }),
  ),
  responses: v.record(v.string(), v.looseObject({ description: v.string() })),
});

describe('the recording made through the API', () => {
  it('is listed first and has its marker', async () => {
    const list: unknown = await (await send('GET', '/api/recordings')).json();
    expect(list).toMatchObject({
      recordings: expect.arrayContaining([
        expect.objectContaining({ id: recorded, status: 'complete', name: 'contract' }),
      ]) as unknown,
    });
    const one: unknown = await (await send('GET', `/api/recordings/${recorded}`)).json();
    expect(JSON.stringify(one)).toContain('"text":"here"');
  });

  it('gives the samples asked for, and the table all of them', async () => {
    const samples = v.parse(
      v.object({ rate_Hz: v.number(), columns: v.record(v.string(), v.array(v.any())) }),
      await (await send('GET', `/api/recordings/${recorded}/samples?from=0.1&to=0.15`)).json(),
    );
    expect(samples.columns['torque_Nm']).toHaveLength(samples.rate_Hz * 0.05);
    const table = await (await send('GET', `/api/recordings/${recorded}/table.csv`)).text();
    const [, , , , row = ''] = table.split('\n');
    expect(row.split(',')[0]).toBe(String(3 / samples.rate_Hz));
  });
});

describe('wrong requests', () => {
  const SETUP = '/api/setup';
  it.each<[string, number, string, string, unknown, Record<string, string>?]>([
    ['an unknown address', 404, 'GET', '/api/nothing', undefined],
    ['another method', 405, 'POST', '/api/health', { a: 1 }],
    ['no JSON', 400, 'PUT', SETUP, '{"subject":'],
    ['a list', 400, 'PUT', SETUP, []],
    ['no body', 400, 'PUT', SETUP, undefined],
    ['a form', 415, 'PUT', SETUP, 'subject=SH-01', { 'Content-Type': 'text/plain' }],
    ['too much', 413, 'PUT', SETUP, 'x'.repeat(70_000)],
    ['an unknown field', 400, 'PUT', SETUP, { ...DEMO_SETUP, name: 'x' }],
    ['a name for a code', 400, 'PUT', SETUP, { ...DEMO_SETUP, subject: 'A Person' }],
    ['limits that are turned', 400, 'PUT', SETUP, { ...DEMO_SETUP, rangeLimits_deg: [16, -37] }],
    ['an unknown pattern', 400, 'PUT', SETUP, { ...DEMO_SETUP, pattern: 'jaw-open-close' }],
    ['an empty name', 400, 'POST', '/api/recordings', { name: '  ' }],
    ['a stop of nothing', 409, 'POST', '/api/recordings/current/stop', undefined],
    ['a mark in nothing', 409, 'POST', '/api/markers', { text: 'x' }],
    ['an unknown flag', 404, 'POST', '/api/flags/999999/acknowledge', undefined],
    ['a flag that is no number', 404, 'POST', '/api/flags/x/acknowledge', undefined],
    ['an unknown recording', 404, 'GET', '/api/recordings/20200101-000000-x', undefined],
    ['a source that is none', 400, 'PUT', '/api/source', { url: 'carrier-pigeon:' }],
    ['a wiring with a mistake', 400, 'PUT', '/api/wiring', { wiring: { version: 1 } }],
  ])('%s gives %i in words', async (_, status, method, path, body, headers) => {
    const response = await send(method, path, body, headers);
    expect(response.status).toBe(status);
    expect(response.headers.get('Content-Type')).toContain('application/problem+json');
    const problem = v.parse(
      v.strictObject({
        type: v.literal('about:blank'),
        title: v.string(),
        status: v.literal(status),
        detail: v.pipe(v.string(), v.minLength(5)),
      }),
      await response.json(),
    );
    expect(problem.detail).not.toMatch(/\n|\.ts|node_modules|\/(home|root|tmp|work)/);
  });

  it('a second recording is refused while one is under way, and so is what would change it', async () => {
    expect((await json('POST', '/api/recordings', { name: 'one' })).status).toBe(201);
    expect((await json('POST', '/api/recordings', { name: 'two' })).status).toBe(409);
    expect((await json('PUT', '/api/setup', DEMO_SETUP)).status).toBe(409);
    expect((await json('PUT', '/api/source', { url: 'demo:' })).status).toBe(409);
    expect((await json('PUT', '/api/wiring', { wiring: null })).status).toBe(409);
    expect((await json('POST', '/api/recordings/current/stop')).status).toBe(200);
  });

  it('__proto__ in a body changes nothing', async () => {
    const text = `{"__proto__":{"polluted":1},${JSON.stringify(DEMO_SETUP).slice(1)}`;
    await send('PUT', '/api/setup', text);
    expect(Object.hasOwn(Object.prototype, 'polluted')).toBe(false);
  });

  it('logged nothing of the house', () => {
    expect(test.log.filter((line) => line.startsWith('error'))).toEqual([]);
  });
});
