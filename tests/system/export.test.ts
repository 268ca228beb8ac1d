/**
 * Exports through the API and the command: progress, files, what explains the numbers, calling one off; and
 * memory that does not grow with the recording, with the heap capped at 256 MiB.
 */
import { spawn } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DuckDBInstance } from '@duckdb/node-api';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { EXPORTERS } from '../../daemon/exporters/index.ts';
import { recordAnkleSet } from '../support/ankle-recording.ts';
import { bundledProgram, runProgram, startDaemon, type RunningDaemon } from '../support/daemon.ts';
import { formatOf, recorderIn } from '../support/recordings.ts';

const [FIRST, SECOND] = ['20261125-090000-x', '20261125-091500-y'] as const;
const WIRING = {
  ...{ version: 1, station: 'North' },
  channels: [
    { channel: 'torque_Nm', quantity: 'torque', unit: 'Nm', slope: 1, delay_ms: 4 },
    { channel: 'angle_deg', quantity: 'angle', unit: 'deg', slope: 1 },
    { channel: 'trigger', quantity: 'trigger', unit: 'V', slope: 1 },
  ],
};
const folder = mkdtempSync(join(tmpdir(), 'momentarm-export-'));
const dataFolder = join(folder, 'data');
let daemon: RunningDaemon;

beforeAll(async () => {
  await recordAnkleSet(dataFolder, FIRST, { seed: 3, subject: 'SH-01', more: { wiring: WIRING } });
  await recordAnkleSet(dataFolder, SECOND, { seed: 4, subject: 'SH-02', nRepetitions: 3 });
  daemon = await startDaemon({ dataFolder });
});
afterAll(async () => {
  await daemon.stop();
  rmSync(folder, { recursive: true, force: true });
});

interface Job {
  readonly id: string;
  readonly state: string;
  readonly progress: number;
  readonly files: readonly { name: string; bytes: number }[];
  readonly problems: readonly string[];
}

async function call(method: string, path: string, body?: object): Promise<unknown> {
  const json = { 'Content-Type': 'application/json' };
  const given = body === undefined ? {} : { body: JSON.stringify(body), headers: json };
  const reply = await fetch(`${daemon.url}${path}`, { method, ...given });
  return reply.json();
}

async function ended(started: unknown): Promise<Job> {
  const { id } = started as Job;
  for (;;) {
    const job = (await call('GET', `api/exports/${id}`)) as Job;
    if (!['waiting', 'running'].includes(job.state)) return job;
    await new Promise((resolve) => setTimeout(resolve, 10));
  }
}

interface Sidecar {
  readonly Markers: readonly { sampleIndex: number; kind: string; description: string }[];
  readonly torque_Nm: { readonly Delay: number; readonly Description: string };
  readonly Provenance: Readonly<Record<string, unknown>>;
}

describe('exports of the station', () => {
  test('a filter becomes files that another program opens, one set a recording', async () => {
    const body = { format: 'parquet', filter: { pattern: 'ankle-plantarflexion-dorsiflexion' } };
    const job = await ended(await call('POST', 'api/exports', body));
    expect(job).toMatchObject({ state: 'done', progress: 1, problems: [] });
    expect(job.files.map(({ name }) => name).sort()).toEqual([
      ...[`${FIRST}.json`, `${FIRST}.parquet`, `${SECOND}.json`, `${SECOND}.parquet`],
    ]);
    const reply = await fetch(`${daemon.url}api/exports/${job.id}/files/${FIRST}.parquet`);
    expect(reply.headers.get('Content-Disposition')).toBe(
      `attachment; filename="${FIRST}.parquet"`,
    );
    const path = join(folder, 'downloaded.parquet');
    writeFileSync(path, Buffer.from(await reply.arrayBuffer()));
    const connection = await (await DuckDBInstance.create(':memory:')).connect();
    const rows = await connection.runAndReadAll(
      `select count(*), min(torque_Nm) < -90, max(trigger_V) from '${path}'`,
    );
    const stop = JSON.parse(
      readFileSync(join(dataFolder, 'recordings', FIRST, 'stop.json'), 'utf8'),
    ) as { samples: number };
    expect(rows.getRows()[0]).toEqual([BigInt(stop.samples), true, 5]);
    connection.closeSync();
  });

  test('the sidecar holds results, recipe, decisions, trust record, hashes and every marker', async () => {
    await call('POST', 'api/decisions', {
      who: 'T1',
      body: {
        ...{ recording: FIRST, repetition: 2, direction: 'dorsiflexion' },
        ...{ counts: false, reason: 'strap slipped' },
      },
    });
    const job = await ended(
      await call('POST', 'api/exports', { format: 'csv', recordings: [FIRST] }),
    );
    const files = new Map<string, string>();
    for (const { name } of job.files) {
      files.set(
        name,
        await (await fetch(`${daemon.url}api/exports/${job.id}/files/${name}`)).text(),
      );
    }
    const sidecar = JSON.parse(files.get(`${FIRST}.json`) ?? '') as Sidecar;
    // The trigger goes from 0 to 5 V between samples 500 and 501, and back between 550 and 551.
    expect(sidecar.Markers).toEqual([
      expect.objectContaining({ sampleIndex: 500.5, kind: 'marker', description: 'strap checked' }),
      expect.objectContaining({
        sampleIndex: 500.5,
        kind: 'trigger',
        description: 'trigger rises',
      }),
      expect.objectContaining({
        sampleIndex: 550.5,
        kind: 'trigger',
        description: 'trigger falls',
      }),
    ]);
    expect(files.get(`${FIRST}.markers.csv`)).toContain('\n550.5,1.101,trigger,trigger falls\n');
    expect(sidecar.torque_Nm).toMatchObject({ Delay: 0.004 });
    expect(sidecar.torque_Nm.Description).toContain('positive toward dorsiflexion');
    const text = JSON.stringify(sidecar.Provenance);
    for (const part of ['"rejected"', 'strap slipped', '"runsSha256"', '"hash"', '"known"']) {
      expect(text).toContain(part);
    }
  });

  test('one that is called off leaves nothing, and the next one goes on', async () => {
    const first = (await call('POST', 'api/exports', {
      ...{ format: 'hdf5', recordings: [FIRST, SECOND] },
    })) as Job;
    const next = await call('POST', 'api/exports', { format: 'edf', recordings: [SECOND] });
    const cancelled = (await call('POST', `api/exports/${first.id}/cancel`)) as Job;
    expect(cancelled).toMatchObject({ state: 'cancelled', files: [] });
    expect(existsSync(join(dataFolder, 'exports', first.id))).toBe(false);
    expect((await ended(next)).state).toBe('done');
  });

  test('what would leave is listed before, and a code that looks like a name is told', async () => {
    await call('POST', 'api/assignments', {
      who: 'T1',
      body: { recording: SECOND, subject: 'Marlow' },
    });
    const preview = await call('POST', 'api/exports/preview', { recordings: [SECOND] });
    expect(preview).toMatchObject({
      total: 1,
      recordings: [{ subject: 'Marlow', texts: ['SH ankle 4', 'strap checked'] }],
    });
    expect(JSON.stringify(preview)).toContain('looks like a name');
  });
});

describe('the command', () => {
  test('chooses by what a recording is, decisions included, while the station runs', async () => {
    const out = join(folder, 'chosen/');
    const args = [
      'export',
      '--subject',
      'Marlow',
      '--as',
      'csv',
      '--out',
      out,
      '--data',
      dataFolder,
    ];
    const { code, err } = await runProgram(args);
    expect(err).toContain(`${SECOND}: 100 %`);
    expect(code).toBe(0);
    expect(readdirSync(out)).toContain(`${SECOND}.csv`);
    const none = await runProgram([...args.slice(0, 2), 'SH-99', ...args.slice(3)]);
    expect(none.code).toBe(2);
  });
});

/** Four channels of 16 bits at 1 kHz; the values are those of a table of a second. */
async function recordLong(id: string, seconds: number): Promise<string> {
  const place = join(folder, 'long');
  const format = formatOf(['int16', 'int16', 'int16', 'int16']);
  const recorder = recorderIn(place, id);
  await recorder.ready;
  const n = 1000;
  const columns = [11, 13, 17, 19].map((step) =>
    Float64Array.from({ length: n }, (_, i) => ((i * step) % 20_000) - 10_000),
  );
  for (let second = 0; second < seconds; second += 1) {
    const index = second * n;
    recorder.write({ format, run: 0, first: index, index, n, columns, arrival_ns: index * 1e6 });
    if (second % 20 === 19) await new Promise((resolve) => setImmediate(resolve));
  }
  await recorder.close('test');
  return join(place, 'recordings', id);
}

/** Runs an export with the heap capped; the most memory it ever held, MiB (Linux: VmHWM of proc(5)). */
async function peakOf(recording: string, format: string, out: string): Promise<number> {
  const args = ['--max-old-space-size=256', await bundledProgram(), 'export', recording];
  const child = spawn(process.execPath, [...args, '--as', format, '--out', out], {
    stdio: 'ignore',
  });
  let peak_KiB = 0;
  const poll = setInterval(() => {
    const status = existsSync(`/proc/${child.pid}/status`)
      ? readFileSync(`/proc/${child.pid}/status`, 'utf8')
      : '';
    peak_KiB = Math.max(peak_KiB, Number(/VmHWM:\s+(\d+)/.exec(status)?.[1] ?? 0));
  }, 5);
  const code = await new Promise<number | null>((resolve) => child.once('close', resolve));
  clearInterval(poll);
  expect(code).toBe(0);
  return peak_KiB / 1024;
}

describe('memory', () => {
  const [SHORT_S, LONG_S] = [660, 1980];
  let recordings: readonly string[] = [];
  beforeAll(async () => {
    mkdirSync(join(folder, 'long', 'recordings'), { recursive: true });
    recordings = [await recordLong('short', SHORT_S), await recordLong('long', LONG_S)];
  });

  test.each(EXPORTERS.map(({ id, extension }) => [id, extension] as const))(
    '%s: three times the recording takes no more memory',
    async (id, extension) => {
      const [short = '', long = ''] = recordings;
      const few_MiB = await peakOf(short, id, join(folder, `short.${extension}`));
      const many_MiB = await peakOf(long, id, join(folder, `long.${extension}`));
      // The longer holds 84 MB more in its columns; collection of garbage moves the peak by some.
      expect(many_MiB - few_MiB).toBeLessThan(40);
      rmSync(join(folder, `long.${extension}`));
    },
  );
});
