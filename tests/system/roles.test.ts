/** Every route and every socket for every role: who may, who may not, and nobody by a trick of the address. */
import { once } from 'node:events';
import * as v from 'valibot';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import WebSocket from 'ws';
import { ROUTES } from '../../daemon/http/routes/index.ts';
import { startDaemon } from '../support/daemon.ts';
import { openTestStation, type TestStation } from '../support/station.ts';

/** Written down here once more, so that a route that is added must be thought of. */
const FOR_ANYONE = ['GET /api/access', 'POST /api/access/enter', 'GET /api/health'];
const NOT_FOR_RESEARCHERS = ['GET /api/access/codes'];
const RESEARCHER_CHANGES = [
  ...['decisions', 'boundaries', 'analyses', 'assignments', 'notes'].flatMap((kind) => [
    `POST /api/${kind}`,
    `PUT /api/${kind}/{id}`,
  ]),
  'POST /api/audit/{id}/undo',
];
/** Routes that compute or write a file for a desk, and change nothing at the station. */
const DESK = /^POST \/api\/(research|analyze|exports|reports?)(\/|$)/;

type Who = 'nobody' | 'tester' | 'researcher' | 'subject';
const WHO: readonly Who[] = ['nobody', 'subject', 'researcher', 'tester'];

let test: TestStation;
const tokens = new Map<Who, { readonly id: string; readonly token: string }>();

const made = v.object({ id: v.string(), token: v.string() });

async function send(who: Who, method: string, path: string, body?: object) {
  const { token } = tokens.get(who) ?? {};
  return fetch(test.url + path, {
    method,
    headers: {
      'Content-Type': 'application/json',
      ...(token === undefined ? {} : { Authorization: `Bearer ${token}` }),
    },
    ...(method === 'GET' ? {} : { body: JSON.stringify(body ?? { nothing: 'that is asked for' }) }),
  });
}

async function make(role: Exclude<Who, 'nobody'>, by: Who): Promise<void> {
  const response = await send(by, 'POST', '/api/access/codes', { role });
  tokens.set(role, v.parse(made, await response.json()));
}

/** Opens a socket and says how it went: the HTTP status of a refusal, or 101. */
async function socket(who: Who, path: string): Promise<{ status: number; live?: WebSocket }> {
  const { token } = tokens.get(who) ?? {};
  const headers = token === undefined ? {} : { Cookie: `momentarm=${token}` };
  const live = new WebSocket(test.url.replace('http', 'ws') + path, { headers });
  return new Promise((resolve) => {
    live.once('open', () => resolve({ status: 101, live }));
    live.once('unexpected-response', (_, response) =>
      resolve({ status: response.statusCode ?? 0 }),
    );
    live.once('error', () => undefined);
  });
}

beforeAll(async () => {
  test = await openTestStation();
});
afterAll(() => test.close());

function expected(who: Who, name: string): number | null {
  if (FOR_ANYONE.includes(name) || who === 'tester') return null;
  if (who === 'nobody') return 401;
  if (who === 'subject' || NOT_FOR_RESEARCHERS.includes(name)) return 403;
  const may = name.startsWith('GET ') || RESEARCHER_CHANGES.includes(name) || DESK.test(name);
  return may ? null : 403;
}

describe('before a tester’s code is made', () => {
  it('whoever sits at the machine may do everything, and the first code is the tester’s', async () => {
    expect((await send('nobody', 'GET', '/api/setup')).status).toBe(200);
    const early = await send('nobody', 'POST', '/api/access/codes', { role: 'subject' });
    expect(early.status).toBe(409);
    const open = await socket('nobody', '/live');
    expect(open.status).toBe(101);
    const closed = open.live ? once(open.live, 'close') : null;
    await make('tester', 'nobody');
    // Who came in without a code has to show one from now on.
    expect(await closed).not.toBeNull();
    await make('researcher', 'tester');
    await make('subject', 'tester');
  });
});

describe('every route', () => {
  const names = ROUTES.map(({ method, url }) => `${method} ${url}`);

  it.each(WHO.flatMap((who) => names.map((name) => [who, name] as const)))(
    'for %s: %s',
    async (who, name) => {
      const [method = '', url = ''] = name.split(' ');
      const response = await send(who, method, url.replace('{id}', 'none'));
      await response.arrayBuffer();
      const status = expected(who, name);
      if (status === null) expect([401, 403]).not.toContain(response.status);
      else expect(response.status).toBe(status);
    },
  );

  it('is not opened by another spelling of its address', async () => {
    for (const path of ['//api/setup', '/api//setup', '/api/health/../setup', '/api/%73etup']) {
      expect([401, 403, 404]).toContain((await send('subject', 'GET', path)).status);
    }
  });
});

describe('every socket', () => {
  it.each([
    ['nobody', '/live', 401],
    ['nobody', '/live/subject', 401],
    ['subject', '/live', 403],
    ['subject', '/live/subject', 101],
    ['researcher', '/live', 101],
    ['researcher', '/live/subject', 101],
    ['tester', '/live', 101],
  ] as const)('for %s: %s answers %i', async (who, path, status) => {
    const { status: got, live } = await socket(who, path);
    live?.terminate();
    expect(got).toBe(status);
  });
});

describe('codes', () => {
  it('a revoked one opens nothing, and shuts what it had opened', async () => {
    const { live } = await socket('subject', '/live/subject');
    if (!live) throw new Error('it did not open');
    const closed = once(live, 'close');
    const id = tokens.get('subject')?.id ?? '';
    expect((await send('tester', 'POST', `/api/access/codes/${id}/revoke`, {})).status).toBe(200);
    await closed;
    expect((await socket('subject', '/live/subject')).status).toBe(401);
  });

  it('six digits open one door once; wrong ones make everybody wait', async () => {
    const pair = await send('tester', 'POST', '/api/access/pair', { role: 'subject' });
    const { code } = v.parse(
      v.object({ code: v.string(), minutes: v.number() }),
      await pair.json(),
    );
    expect(code).toMatch(/^\d{6}$/);
    const first = await send('nobody', 'POST', '/api/access/enter', { code });
    const { role } = v.parse(v.object({ token: v.string(), role: v.string() }), await first.json());
    expect(role).toBe('subject');
    expect((await send('nobody', 'POST', '/api/access/enter', { code })).status).toBe(409);
    for (let k = 0; k < 8; k += 1) {
      await send('nobody', 'POST', '/api/access/enter', { code: `x${k}00000` });
    }
    const { token } = tokens.get('tester') ?? { token: '' };
    expect((await send('nobody', 'POST', '/api/access/enter', { code: token })).status).toBe(409);
    // Who is in stays in.
    expect((await send('tester', 'GET', '/api/setup')).status).toBe(200);
  });

  it('the last tester’s cannot be revoked while others are there', async () => {
    const id = tokens.get('tester')?.id ?? '';
    const answer = await send('tester', 'POST', `/api/access/codes/${id}/revoke`, {});
    expect(answer.status).toBe(409);
  });

  it('are kept over a restart as hashes only; --open needs none of them', async () => {
    const daemon = await startDaemon();
    const answer = await fetch(`${daemon.url}api/access/codes`, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify({ role: 'tester' }),
    });
    const { token } = v.parse(made, await answer.json());
    daemon.process.kill('SIGKILL');
    await once(daemon.process, 'close');

    const again = await startDaemon({ dataFolder: daemon.dataFolder });
    const setup = (headers: Record<string, string>) => fetch(`${again.url}api/setup`, { headers });
    expect((await setup({})).status).toBe(401);
    expect((await setup({ Authorization: `Bearer ${token}` })).status).toBe(200);
    await again.until(({ source }) => source.state === 'live');
    await again.stop();

    const open = await startDaemon({ dataFolder: daemon.dataFolder, args: ['--open'] });
    expect((await fetch(`${open.url}api/setup`)).status).toBe(200);
    await open.stop();
    await daemon.stop();
  }, 30_000);
});
