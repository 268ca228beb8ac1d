/** `/live` and `/live/subject` of the real daemon: what a client hears, and what a subject never does. */
import { execFile } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { LaneEvent, LiveEvent, StationState } from '../../shared/wire/events.ts';
import { type RunningDaemon, startDaemon } from '../support/daemon.ts';
import { type Heard, openLiveClient } from '../support/live-client.ts';

const ROOT = join(import.meta.dirname, '..', '..');
/** Sets at once, without the weighing that the demo begins with. */
const SET = 'demo:?script=isokinetic:60x5,rest:5';

let daemon: RunningDaemon;
beforeAll(async () => {
  daemon = await startDaemon({ args: ['--source', SET] });
  await daemon.until(({ source }) => source.state === 'live');
});
afterAll(() => daemon.stop());

const sleep = (time_ms: number) => new Promise((resolve) => setTimeout(resolve, time_ms));
const stateOf = ({ event }: Heard): StationState | null => {
  // The page's own reading: the daemon of the same build speaks the types it was built with.
  const live = event as LiveEvent | undefined;
  return live?.type === 'state' ? live.state : null;
};

async function command(method: string, path: string, body?: object): Promise<unknown> {
  const response = await fetch(daemon.url + path, {
    method,
    headers: { 'Content-Type': 'application/json' },
    body: body ? JSON.stringify(body) : null,
  });
  expect(response.ok, await response.clone().text()).toBe(true);
  return response.json();
}

describe('/live', () => {
  it('gives the whole state first, then blocks without a hole', async () => {
    const client = await openLiveClient(daemon.url);
    await sleep(1_000);
    client.close();
    const [first] = client.heard;
    const state = first && stateOf(first);
    expect(state?.source).toMatchObject({ state: 'live', kind: 'simulated', url: SET });
    expect(state?.columns.map(({ name }) => name)).toEqual(
      expect.arrayContaining(['torque_Nm', 'angle_deg', 'velocity_degps']),
    );
    const { blocks } = client;
    expect(blocks.length).toBeGreaterThan(30);
    blocks.slice(1).forEach((block, k) => {
      expect(block.index).toBe((blocks[k]?.index ?? 0) + (blocks[k]?.n ?? 0));
    });
    expect(blocks.every(({ columns }) => columns.length === state?.columns.length)).toBe(true);
    const torque = state?.columns.findIndex(({ name }) => name === 'torque_Nm') ?? -1;
    const values = blocks.flatMap(({ columns }) => [...(columns[torque] ?? [])]);
    expect(values.every((value) => Math.abs(value) < 200)).toBe(true);
    expect(new Set(values).size).toBeGreaterThan(20);
  });

  it('tells the state four times a second and at once on a change', async () => {
    const client = await openLiveClient(daemon.url);
    await sleep(1_100);
    const states = client.events.filter((event) => event['type'] === 'state');
    expect(states.length).toBeGreaterThanOrEqual(4);
    expect(states.length).toBeLessThan(12);
    const from_ms = performance.now();
    const setup = (await command('GET', 'api/setup')) as object;
    await command('PUT', 'api/setup', { ...setup, subject: 'SH-05' });
    const told = await client.when((heard) => stateOf(heard)?.setup.subject === 'SH-05');
    expect(told.at_ms - from_ms).toBeLessThan(200);
    client.close();
  });

  it('tells of a recording, its provisional ledger, and the settled one at its end', async () => {
    const client = await openLiveClient(daemon.url);
    const begun = (await command('POST', 'api/recordings', { name: 'Set' })) as { id: string };
    await client.when((heard) => stateOf(heard)?.recording?.id === begun.id);
    const ledger =
      (finality: string, nPhases: number) =>
      ({ event }: Heard) => {
        const live = event as LiveEvent | undefined;
        return (
          live?.type === 'ledger' &&
          live.ledger.recording === begun.id &&
          live.ledger.finality === finality &&
          live.ledger.phases.length >= nPhases
        );
      };
    await client.when(ledger('provisional', 2), 25_000);
    await command('POST', 'api/recordings/current/stop');
    const settled = await client.when(ledger('settled', 2), 5_000);
    const results = await command('GET', `api/recordings/${begun.id}/analysis`);
    const event = settled.event as Extract<LiveEvent, { type: 'ledger' }>;
    expect(results).toMatchObject({ phases: event.ledger.phases });
    client.close();
  });
});

describe('/live/subject', () => {
  it('says lane and level and nothing else: no number of the measurement', async () => {
    const client = await openLiveClient(daemon.url, { path: 'live/subject' });
    await sleep(2_000);
    client.close();
    expect(client.blocks).toEqual([]);
    const events = client.events as unknown as LaneEvent[];
    const levels = events.filter((event) => event.type === 'level');
    const lanes = events.filter((event) => event.type === 'lane');
    expect(levels.length + lanes.length).toBe(events.length);
    expect(levels.length).toBeGreaterThan(30);
    expect(levels.length).toBeLessThan(2.2 * 60);
    for (const event of levels) {
      expect(Object.keys(event).sort()).toEqual(['level', 'type']);
      expect(event.level === null || (event.level >= 0 && event.level <= 1)).toBe(true);
    }
    // Whatever a lane may say one day: shares, dots and seconds, never a quantity with its unit.
    for (const event of lanes) {
      expect(JSON.stringify(event)).not.toMatch(/torque|work|power|peak|_(Nm|J|W|deg|degps)\b/i);
      expect(event.limb >= 0 && event.limb <= 1).toBe(true);
    }
  });

  it('waits within 500 ms when the source is gone, and says so to whoever joins then', async () => {
    const client = await openLiveClient(daemon.url, { path: 'live/subject' });
    await client.when(({ event }) => event?.['type'] === 'level' && event['level'] !== null);
    const from_ms = performance.now();
    await command('PUT', 'api/source', { url: 'tcp://127.0.0.1:9?format=lines' });
    const wait = await client.when(({ event }) => event?.['phase'] === 'wait');
    expect(wait.at_ms - from_ms).toBeLessThan(500);
    await client.when(({ event }) => event?.['type'] === 'level' && event['level'] === null);
    const late = await openLiveClient(daemon.url, { path: 'live/subject' });
    await late.when(({ event }) => event?.['phase'] === 'wait', 500);
    late.close();
    client.close();
    await command('PUT', 'api/source', { url: SET });
    await daemon.until(({ source }) => source.state === 'live');
  });
});

describe('the clients of the README', () => {
  it('stand in it as they are run here', async () => {
    const read = (...path: string[]) => readFile(join(ROOT, ...path), 'utf8');
    const client = await read('tests', 'clients', 'live.mjs');
    expect(await read('README.md')).toContain(client.trim());
  });

  it.each([
    ['JavaScript', process.execPath, ['live.mjs'], (url: URL) => [url.href]],
    ['Python', 'python3', ['live.py'], (url: URL) => [url.hostname, url.port]],
  ])('in %s prints the torque', async (_, program, [file = ''], argsFor) => {
    const args = [join(ROOT, 'tests', 'clients', file), ...argsFor(new URL(daemon.url))];
    const run = promisify(execFile)(program, args, { timeout: 1_800 });
    const { stdout } = await run.catch((error: { stdout: string }) => error);
    const lines = stdout.trim().split('\n');
    expect(lines.length).toBeGreaterThan(5);
    const values = lines.slice(2).map((line) => Number(/(-?\d+\.\d\d)(?: Nm)?$/.exec(line)?.[1]));
    expect(values.every((value) => Math.abs(value) < 200)).toBe(true);
  });
});
