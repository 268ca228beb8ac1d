/**
 * The catalogue in the daemon: after its database is deleted every GET of the API answers the same bytes;
 * two testers who change one thing at once lose nothing; a decision takes effect and can be taken back.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as v from 'valibot';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { deleteDatabase } from '../../daemon/catalogue/logs.ts';
import { ROUTES } from '../../daemon/http/routes/index.ts';
import { recordAnkleSet } from '../support/ankle-recording.ts';
import { bodiesFor } from '../support/catalogue-requests.ts';
import { runProgram, startDaemon, type RunningDaemon } from '../support/daemon.ts';

const IDS = ['20261125-090000-a', '20261125-091500-b', '20261125-093000-c'] as const;
const folder = mkdtempSync(join(tmpdir(), 'momentarm-catalogue-'));
let daemon: RunningDaemon;

beforeAll(async () => {
  for (const [k, id] of IDS.entries()) {
    const startedAt = `2026-11-25T09:${15 * k}0:00.000Z`.replace(/:(\d)0:/, ':0$1:');
    await recordAnkleSet(folder, id, { seed: k + 3, subject: `SH-0${k + 1}`, startedAt });
  }
  daemon = await startDaemon({ dataFolder: folder });
});
afterAll(async () => {
  await daemon.stop();
  rmSync(folder, { recursive: true, force: true });
});

const address = (path: string) => `${daemon.url}${path.slice(1)}`;
const get = async (path: string) => (await fetch(address(path))).text();

async function send(method: string, path: string, body: object) {
  const response = await fetch(address(path), {
    method,
    headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify(body),
  });
  return { status: response.status, body: (await response.json()) as Record<string, unknown> };
}

async function upToDate(): Promise<void> {
  const schema = v.object({ pending: v.number(), total: v.number() });
  for (;;) {
    const { pending, total } = v.parse(schema, JSON.parse(await get('/api/sets')));
    if (pending === 0 && total === IDS.length) return;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}

/** Answers of the running source: no two are the same, with or without a database. */
const OF_THE_MOMENT = ['/api/health', '/api/source'];
const FILTERS = [
  '?subject=SH-01',
  '?text=ankle&sort=name',
  '?flags=stopImpact',
  '?limit=1&offset=1',
];

async function addresses(): Promise<string[]> {
  const found: string[] = [];
  for (const { method, url } of ROUTES) {
    if (method !== 'GET' || OF_THE_MOMENT.includes(url)) continue;
    if (!url.includes('{')) found.push(url);
    else if (url.startsWith('/api/recordings/')) {
      for (const id of IDS) found.push(url.replace('{id}', id));
    } else {
      const list = url.replace('/{id}', '');
      const reply = v.safeParse(
        v.object({ items: v.array(v.object({ id: v.string() })) }),
        JSON.parse(await get(list)),
      );
      const items = reply.success ? reply.output.items : [];
      for (const { id } of items) found.push(url.replace('{id}', encodeURIComponent(id)));
    }
  }
  const withQueries = found.map((path) =>
    path.endsWith('/overview') ? `${path}?column=torque_Nm&points=20` : path,
  );
  return [
    ...withQueries,
    ...FILTERS.map((filter) => `/api/sets${filter}`),
    ...['?kind=decision', '?state=conflict', '?limit=2&offset=1'].map((q) => `/api/audit${q}`),
  ];
}

async function everyAnswer(): Promise<Map<string, string>> {
  await upToDate();
  const answers = new Map<string, string>();
  for (const path of await addresses()) answers.set(path, await get(path));
  return answers;
}

describe('the catalogue in the daemon', () => {
  test('takes one of every kind, and what is decided changes the results', async () => {
    await upToDate();
    const [first, second] = IDS;
    const before = await get(`/api/recordings/${first}/analysis`);
    for (const id of [first, second]) {
      for (const [plural, body] of Object.entries(bodiesFor(id))) {
        const { status } = await send('POST', `/api/${plural}`, { who: 'T1', body });
        expect([201, 409], plural).toContain(status);
      }
    }
    const after = await get(`/api/recordings/${first}/analysis`);
    expect(after).not.toBe(before);
    expect(after).toContain('"rejected"');
  });

  test('after the database is deleted, every GET answers the same bytes, audit included', async () => {
    const undone = await send('POST', `/api/decisions`, {
      who: 'T2',
      body: { ...bodiesFor(IDS[2])['decisions'], reason: 'taken back' },
    });
    expect(undone.status).toBe(201);
    const { entries } = JSON.parse(await get('/api/audit')) as { entries: { id: string }[] };
    const [newest] = entries;
    expect((await send('POST', `/api/audit/${newest?.id ?? ''}/undo`, { who: 'T1' })).status).toBe(
      200,
    );
    const before = await everyAnswer();
    expect(before.size).toBeGreaterThan(40);

    await daemon.stop();
    deleteDatabase(folder);
    daemon = await startDaemon({ dataFolder: folder });
    const restarted = await everyAnswer();
    expect([...restarted.keys()]).toEqual([...before.keys()]);
    for (const [path, answer] of before) expect(restarted.get(path), path).toBe(answer);

    await daemon.stop();
    const { code, out, err } = await runProgram(['rebuild', '--data', folder, '--json']);
    expect(code, err).toBe(0);
    expect(JSON.parse(out)).toMatchObject({ sets: 3, conflicts: 0, damage: [] });
    daemon = await startDaemon({ dataFolder: folder });
    const rebuilt = await everyAnswer();
    for (const [path, answer] of before) expect(rebuilt.get(path), path).toBe(answer);
  });

  test('two testers, fifty races: one 200, one 409 that carries both versions', async () => {
    const body = { code: 'SH-07', bodyMass_kg: 70 };
    await send('POST', '/api/subjects', { who: 'T1', body });
    for (let base = 1; base <= 50; base += 1) {
      const replies = await Promise.all(
        ['T1', 'T2'].map((who, k) => {
          const changed = { ...body, bodyMass_kg: 70 + base / 10 + k / 100 };
          return send('PUT', '/api/subjects/SH-07', { who, base, body: changed });
        }),
      );
      expect(replies.map(({ status }) => status).sort()).toEqual([200, 409]);
      const won = replies.find(({ status }) => status === 200)?.body;
      const lost = replies.find(({ status }) => status === 409)?.body;
      expect(lost).toMatchObject({ revision: base + 1, theirs: won?.['item'] });
      expect(lost?.['yours']).toMatchObject({ code: 'SH-07' });
    }
  });
});
