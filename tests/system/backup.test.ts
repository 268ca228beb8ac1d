/** Two stations and a safe place: import, backup, restore and deletion, each by one command or request. */
import {
  appendFileSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { execFileSync } from 'node:child_process';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { recordAnkleSet } from '../support/ankle-recording.ts';
import { ankleSet } from '../support/curves.ts';
import { runProgram, startDaemon } from '../support/daemon.ts';

const [NORTH_ID, SOUTH_ID] = ['20261125-090000-n', '20261125-091500-s'] as const;
/** GNU coreutils: an outside reader of the list of digests. */
const SHA256SUM = '/usr/bin/sha256sum';
const folder = mkdtempSync(join(tmpdir(), 'momentarm-backup-'));
const [north, south] = [join(folder, 'north'), join(folder, 'south')];

beforeAll(async () => {
  await recordAnkleSet(north, NORTH_ID, { seed: 3, subject: 'SH-01' });
  await recordAnkleSet(south, SOUTH_ID, { seed: 4, subject: 'SH-02' });
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

type Send = (
  method: string,
  path: string,
  body?: object,
) => Promise<{ status: number; text: string }>;

/** Runs a station over the folder while `use` talks to it. */
async function withStation<T>(dataFolder: string, use: (send: Send) => Promise<T>): Promise<T> {
  const daemon = await startDaemon({ dataFolder });
  const send: Send = async (method, path, body) => {
    const headers = { 'Content-Type': 'application/json' };
    const given = body ? { headers, body: JSON.stringify(body) } : {};
    const reply = await fetch(`${daemon.url}${path}`, { method, ...given });
    return { status: reply.status, text: await reply.text() };
  };
  for (;;) {
    const { text } = await send('GET', 'api/sets');
    if (text.includes('"pending":0') && !text.includes('"total":0')) break;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  try {
    return await use(send);
  } finally {
    await daemon.stop();
  }
}

const ANSWERS = ['api/sets', 'api/audit', 'api/subjects', 'api/decisions', 'api/recordings'];
const answersOf = (dataFolder: string) =>
  withStation(dataFolder, async (send) => {
    const texts = [];
    for (const path of ANSWERS) texts.push((await send('GET', path)).text);
    return texts;
  });

async function run(...args: string[]) {
  const { code, out, err } = await runProgram([...args, '--json']);
  return { code, err, report: out === '' ? null : (JSON.parse(out) as Record<string, unknown>) };
}

describe('import', () => {
  test('takes recordings and decisions once, and shows what both sides decided', async () => {
    for (const [data, age_years] of [
      [north, 30],
      [south, 31],
    ] as const) {
      await withStation(data, async (send) => {
        const made = await send('POST', 'api/subjects', {
          who: 'T1',
          body: { code: 'SH-09', age_years },
        });
        expect(made.status).toBe(201);
      });
    }
    await withStation(south, async (send) => {
      const decision = { recording: SOUTH_ID, repetition: 1, direction: 'dorsiflexion' };
      const body = { ...decision, counts: false, reason: 'slip' };
      expect((await send('POST', 'api/decisions', { who: 'T2', body })).status).toBe(201);
    });
    const first = await run('import', south, '--data', north);
    expect(first.code, first.err).toBe(1);
    expect(first.report).toMatchObject({
      ...{ added: [SOUTH_ID], same: [], refused: [] },
      decisions: { added: 2, conflicts: 1, leftOut: 0 },
    });
    const again = await run('import', south, '--data', north);
    expect(again).toMatchObject({ code: 0, report: { added: [], same: [SOUTH_ID] } });
    await withStation(north, async (send) => {
      expect((await send('GET', 'api/sets')).text).toContain('"total":2');
      expect((await send('GET', 'api/audit?state=conflict')).text).toContain('SH-09');
      const analysis = await send('GET', `api/recordings/${SOUTH_ID}/analysis`);
      expect(analysis.text).toContain('"rejected"');
    });
  });

  test('refuses another recording under a known id, and a damaged one', async () => {
    const third = join(folder, 'third');
    await recordAnkleSet(third, NORTH_ID, { seed: 9, subject: 'SH-05' });
    await recordAnkleSet(third, '20261125-100000-d', { seed: 9, subject: 'SH-05' });
    const damaged = join(third, 'recordings', '20261125-100000-d', 'stream-0.blk');
    const bytes = readFileSync(damaged);
    bytes[Math.floor(bytes.length / 2)] = (bytes[Math.floor(bytes.length / 2)] ?? 0) ^ 1;
    writeFileSync(damaged, bytes);
    const { code, report } = await run('import', third, '--data', north);
    expect(code).toBe(1);
    expect(report?.['refused']).toEqual([
      { recording: NORTH_ID, why: 'another recording has this id here' },
      { recording: '20261125-100000-d', why: expect.stringContaining('damaged') as string },
    ]);
  });
});

describe('import of a plain table', () => {
  const table = join(folder, 'table.csv');
  const order = ['--started-at', '2024-03-01T10:00:00Z', '--subject', 'SH-07'];

  test('makes a recording of an even one, the same one twice is one', async () => {
    const { torque_Nm, angle_deg } = ankleSet({ rate_Hz: 500, nRepetitions: 3, speed_degps: 60 });
    const rows = Array.from(torque_Nm, (torque, i) => `${i / 500},${torque},${angle_deg[i]}`);
    writeFileSync(table, ['time_s,torque_Nm,angle_deg', ...rows].join('\n'));
    const pattern = ['--pattern', 'ankle-plantarflexion-dorsiflexion', '--speed', '60'];
    const args = ['import', table, ...order, ...pattern, '--data', south] as const;
    const first = await run(...args);
    expect(first.code, first.err).toBe(0);
    expect(first.report).toMatchObject({ isNew: true });
    const again = await run(...args);
    expect(again.report).toEqual({ ...first.report, isNew: false });
    const recording = String(first.report?.['recording']);
    const [analysed, direct] = await Promise.all([
      withStation(south, (send) => send('GET', `api/recordings/${recording}/analysis`)),
      runProgram(['analyze', table, '--json', ...pattern, '--mode', 'isokinetic']),
    ]);
    const phasesOf = (text: string) =>
      (JSON.parse(text) as { phases: Record<string, unknown>[] }).phases.map(
        (phase) => phase['peakTorque_Nm'],
      );
    expect(phasesOf(analysed.text)).toHaveLength(6);
    expect(phasesOf(analysed.text)).toEqual(phasesOf(direct.out));
  });

  test('leaves an uneven one, one without a start, and one of a stranger where they are', async () => {
    const uneven = join(folder, 'uneven.csv');
    const rows = Array.from({ length: 300 }, (_, i) => `${(i / 500) ** 1.1},${i % 7},${i}`);
    writeFileSync(uneven, ['time_s,torque_Nm,angle_deg', ...rows].join('\n'));
    for (const [args, words] of [
      [[uneven, ...order], 'not even in time'],
      [[table, '--subject', 'SH-07'], '--started-at is missing'],
      [[table, ...order, '--pattern', 'jaw-open-close'], 'joint pattern'],
    ] as const) {
      const { code, err } = await run('import', ...args, '--data', south);
      expect(code).toBe(2);
      expect(err).toContain(words);
    }
  });
});

describe('backup and restore', () => {
  const safe = join(folder, 'safe');

  test('give a folder that answers the same, while the station runs', async () => {
    const before = await answersOf(north);
    await withStation(north, async () => {
      const made = await run('backup', safe, '--data', north);
      expect(made).toMatchObject({ code: 0, report: { recordings: 2, leftOut: [] } });
    });
    execFileSync(SHA256SUM, ['--check', '--strict', '--quiet', 'digests.sha256'], { cwd: safe });
    const restored = join(folder, 'restored');
    expect(await run('restore', safe, '--data', restored)).toMatchObject({
      ...{ code: 0, report: { recordings: 2, wrong: [] } },
    });
    expect(await answersOf(restored)).toEqual(before);
    expect(existsSync(join(safe, 'origin.json'))).toBe(false);
  });

  test('a backup that was damaged is named and nothing is written', async () => {
    appendFileSync(join(safe, 'recordings', NORTH_ID, 'start.json'), ' ');
    const to = join(folder, 'never');
    const { code, report, err } = await run('restore', safe, '--data', to);
    expect(code).toBe(1);
    expect(report?.['wrong']).toEqual([`recordings/${NORTH_ID}/start.json`]);
    expect(err).toContain('not what was backed up');
    expect(existsSync(to)).toBe(false);
  });

  test('what cannot be used is told in one line, with status 2', async () => {
    for (const args of [
      ['backup', safe, '--data', north],
      ['backup', join(folder, 'x'), '--data', join(folder, 'nowhere')],
      ['restore', north, '--data', join(folder, 'y')],
      ['import', north, '--data', north],
      ['rebuild', 'surplus'],
    ]) {
      const { code, err } = await run(...args);
      expect(code, args.join(' ')).toBe(2);
      expect(err.trimEnd().split('\n')).toHaveLength(1);
    }
  });
});

describe('deleting a recording', () => {
  test('is refused while it must be kept; then it is gone, and the audit trail says who and why', async () => {
    const before = await withStation(north, async (send) => {
      const body = { about: SOUTH_ID, keepUntil: '2999-01-01', reason: 'study 7' };
      await send('POST', 'api/retentions', { who: 'T1', body });
      const path = `api/recordings/${SOUTH_ID}/delete`;
      const order = { who: 'T1', reason: 'consent was withdrawn' };
      const kept = await send('POST', path, order);
      expect(kept.status).toBe(409);
      expect(kept.text).toContain('2999-01-01');
      await send('PUT', `api/retentions/${SOUTH_ID}`, { who: 'T1', base: 1, body: null });
      expect((await send('POST', path, order)).status).toBe(200);
      expect((await send('GET', `api/recordings/${SOUTH_ID}`)).status).toBe(404);
      expect((await send('GET', 'api/sets')).text).not.toContain(SOUTH_ID);
      return (await send('GET', 'api/audit')).text;
    });
    expect(before).toContain('consent was withdrawn');
    expect(before).not.toContain('"reason":"slip"');
    expect(readdirSync(join(north, 'recordings'))).toEqual([NORTH_ID]);
    expect(await run('rebuild', '--data', north)).toMatchObject({ code: 0 });
    const after = await withStation(north, (send) => send('GET', 'api/audit'));
    expect(after.text).toBe(before);
    const again = await run('import', south, '--data', north);
    expect(again.report?.['refused']).toEqual([
      { recording: SOUTH_ID, why: 'it was deleted here' },
    ]);
  });
});
