/** Sets run at a whole station against the emulated machine: counted, ended, repeated, cut, taken back. */
import * as v from 'valibot';
import { afterEach, describe, expect, it } from 'vitest';
import { type RunningDaemon, startDaemon } from '../support/daemon.ts';
import { type LiveClient, openLiveClient } from '../support/live-client.ts';

/** Time for the countdown and for the station to start, then the set; then a rest the test ends in. */
const THREE_AT_60 = 'demo:?script=rest:7,isokinetic:60x3,rest:40';
const SET = { mode: 'isokinetic', speed_degps: 60, repetitions: 3, rest_s: 5 };

const outcome = v.looseObject({ how: v.string(), recording: v.string(), repetitions: v.number() });
const runSchema = v.looseObject({
  stage: v.string(),
  set: v.number(),
  trouble: v.string(),
  repetitions: v.number(),
  recording: v.string(),
  nUndo: v.number(),
  outcomes: v.array(outcome),
  mismatch: v.nullable(v.looseObject({ isSpeedOff: v.boolean(), speed_degps: v.number() })),
  agreements: v.array(v.looseObject({ effort: v.string(), apart_pct: v.nullable(v.number()) })),
});
type Run = v.InferOutput<typeof runSchema>;
const ledgerSchema = v.looseObject({
  finality: v.string(),
  phases: v.array(v.looseObject({ repetition: v.number(), counts: v.boolean() })),
});

const open: RunningDaemon[] = [];
const clients: LiveClient[] = [];
afterEach(async () => {
  for (const client of clients.splice(0)) client.close();
  for (const daemon of open.splice(0)) await daemon.stop();
});

async function begin(args: readonly string[], dataFolder?: string): Promise<RunningDaemon> {
  const daemon = await startDaemon({ args, ...(dataFolder === undefined ? {} : { dataFolder }) });
  open.push(daemon);
  await daemon.until(({ source }) => source.state === 'live');
  return daemon;
}

async function ask(daemon: RunningDaemon, method: string, path: string, body?: object) {
  const response = await fetch(`${daemon.url}api/${path}`, {
    method,
    headers: { 'Content-Type': 'application/json' },
    ...(method === 'GET' ? {} : { body: JSON.stringify(body ?? {}) }),
  });
  return { status: response.status, body: (await response.json()) as unknown };
}

async function post(daemon: RunningDaemon, path: string, body?: object): Promise<Run> {
  const answer = await ask(daemon, 'POST', path, body);
  if (answer.status >= 400) throw new Error(JSON.stringify(answer.body));
  return v.parse(runSchema, answer.body);
}

async function until(
  daemon: RunningDaemon,
  isTrue: (run: Run) => boolean,
  patience_ms = 20_000,
): Promise<Run> {
  const end_ms = performance.now() + patience_ms;
  for (;;) {
    const run = v.parse(runSchema, (await ask(daemon, 'GET', 'run')).body);
    if (isTrue(run)) return run;
    if (performance.now() > end_ms) throw new Error(`still ${JSON.stringify(run)}`);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

/** The newest ledger that a page would show. */
async function ledger(daemon: RunningDaemon, isMeant: (ledger: Ledger) => boolean) {
  const client = await openLiveClient(daemon.url);
  clients.push(client);
  const told = await client.when(({ event }) => {
    const parsed = v.safeParse(ledgerSchema, event?.['ledger']);
    return parsed.success && isMeant(parsed.output);
  }, 15_000);
  return v.parse(ledgerSchema, told.event?.['ledger']);
}
type Ledger = v.InferOutput<typeof ledgerSchema>;

describe('a set', () => {
  it('is counted in, counted, ended by count and settled; scores and decisions are kept', async () => {
    const daemon = await begin(['--source', THREE_AT_60]);
    await post(daemon, 'run', { sets: [SET, SET] });
    expect((await post(daemon, 'run/go')).stage).toBe('countdown');
    // A second page, or an impatient finger.
    expect((await ask(daemon, 'POST', 'run/go')).status).toBe(409);
    await until(daemon, ({ stage }) => stage === 'set');
    const ended = await until(daemon, ({ stage }) => stage === 'rest', 30_000);
    expect(ended.outcomes).toMatchObject([{ how: 'complete', repetitions: 3 }]);
    expect(ended.mismatch).toBeNull();

    const settled = await ledger(daemon, ({ finality }) => finality === 'settled');
    const counting = settled.phases.filter(({ counts }) => counts);
    expect(new Set(counting.map(({ repetition }) => repetition))).toEqual(new Set([1, 2, 3]));
    const { agreements } = await until(daemon, (run) => run.agreements.length === 2);
    for (const { apart_pct } of agreements) expect(apart_pct).toBeLessThan(30);

    await post(daemon, 'run/score', { scale: 'pain', value: 2 });
    await post(daemon, 'run/score', { scale: 'pain', value: 3 });
    const notes = JSON.stringify((await ask(daemon, 'GET', 'notes')).body);
    expect(notes).toContain('pain 3 of 10');
    expect(notes).not.toContain('pain 2 of 10');

    const rejected = await post(daemon, 'run/decide', { repetition: 2, counts: false });
    expect(rejected.nUndo).toBe(1);
    const without = await ledger(daemon, ({ phases }) => phases.some((one) => !one.counts));
    expect(
      without.phases.filter(({ repetition }) => repetition === 2).map((p) => p.counts),
    ).toEqual([false, false]);
    expect((await post(daemon, 'run/undo')).nUndo).toBe(0);
    await ledger(daemon, ({ phases }) => phases.length > 0 && phases.every((one) => one.counts));
    expect((await ask(daemon, 'POST', 'run/undo')).status).toBe(409);
  }, 60_000);

  it('at another speed than planned says so in the first repetition, and takes it on', async () => {
    const daemon = await begin(['--source', THREE_AT_60]);
    await post(daemon, 'run', { sets: [{ ...SET, speed_degps: 90 }] });
    await post(daemon, 'run/go');
    const told = await until(daemon, ({ mismatch }) => mismatch !== null, 30_000);
    expect(told.stage).toBe('set');
    expect(told.repetitions).toBeLessThanOrEqual(2);
    expect(told.mismatch).toMatchObject({ isSpeedOff: true });
    expect(told.mismatch?.speed_degps).toBeCloseTo(60, -1);
    expect((await post(daemon, 'run/adopt')).mismatch).toBeNull();
    const { outcomes } = await until(daemon, ({ stage }) => stage === 'done', 20_000);
    const recording = outcomes[0]?.recording ?? '';
    const assigned = await ask(daemon, 'GET', `assignments/${recording}`);
    expect(assigned.body).toMatchObject({ body: { speed_degps: told.mismatch?.speed_degps } });
  }, 60_000);

  it('is ended at once from any page, with a reason then or later; aborted it waits again', async () => {
    const daemon = await begin(['--source', THREE_AT_60]);
    await post(daemon, 'run', { sets: [SET, SET] });
    await post(daemon, 'run/go');
    await until(daemon, ({ stage }) => stage === 'set');
    const aborted = await post(daemon, 'run/abort');
    expect(aborted).toMatchObject({ stage: 'ready', set: 0, outcomes: [{ how: 'aborted' }] });
    expect((await daemon.health()).recording).toBeNull();
    await post(daemon, 'run/go');
    await until(daemon, ({ stage }) => stage === 'set');
    await post(daemon, 'run/adverse');
    await post(daemon, 'run/end');
    const said = await post(daemon, 'run/reason', { reason: 'strap' });
    expect(said.outcomes[1]).toMatchObject({ how: 'early', reason: 'strap', nAdverse: 1 });
    expect(said).toMatchObject({ stage: 'rest', set: 1 });
  }, 60_000);

  it('whose recording another page ends is over', async () => {
    const daemon = await begin(['--source', THREE_AT_60]);
    await post(daemon, 'run', { sets: [SET] });
    await post(daemon, 'run/go');
    await until(daemon, ({ stage }) => stage === 'set');
    await ask(daemon, 'POST', 'recordings/current/stop');
    const { outcomes } = await until(daemon, ({ stage }) => stage === 'done');
    expect(outcomes).toMatchObject([{ how: 'early', repetitions: 0 }]);
  }, 60_000);

  it('does not begin while the station is lost, and says so', async () => {
    const daemon = await begin([]);
    await post(daemon, 'run');
    await post(daemon, 'run/go');
    await ask(daemon, 'PUT', 'source', { url: 'tcp://127.0.0.1:9?format=lines' });
    const lost = await until(daemon, ({ stage }) => stage === 'ready');
    expect(lost.trouble).toBe('signalLost');
    expect((await post(daemon, 'run/go')).trouble).toBe('noSignal');
  }, 60_000);
});

describe('a daemon that is killed', () => {
  it('in a set names the set that was cut and offers it again; the samples are kept', async () => {
    const first = await begin(['--source', THREE_AT_60]);
    await post(first, 'run', { sets: [SET, SET] });
    await post(first, 'run/go');
    await until(first, ({ stage }) => stage === 'set');
    await first.until(({ recording }) => (recording?.durableSamples ?? 0) > 500);
    first.process.kill('SIGKILL');
    await new Promise((resolve) => first.process.once('close', resolve));

    const second = await begin(['--source', THREE_AT_60], first.dataFolder);
    const run = await until(second, () => true);
    expect(run).toMatchObject({ stage: 'ready', set: 0, trouble: 'restarted' });
    expect(run.outcomes).toMatchObject([{ how: 'interrupted' }]);
    const id = run.outcomes[0]?.recording ?? '';
    const start_ms = performance.now();
    const listed = async () => JSON.stringify((await ask(second, 'GET', `recordings/${id}`)).body);
    while (!(await listed()).includes('recovered') && performance.now() - start_ms < 10_000) {
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
    expect(await listed()).toContain('"recovered"');
    expect((await post(second, 'run/go')).stage).toBe('countdown');
  }, 60_000);
});
