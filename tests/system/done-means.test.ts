/**
 * The spine's promises, end to end with nothing in between replaced: a stranger's emitter on a serial
 * line, the program as a process, its recording on the disk, its commands on that.
 */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createWriteStream } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type RunningDaemon, runProgram, startDaemon } from '../support/daemon.ts';
import { openLiveClient } from '../support/live-client.ts';
import { createPty } from '../support/pty.ts';

const EMITTER = join(import.meta.dirname, '..', 'emitters', 'emitter.py');
const SAMPLES = 60_000;

let folder = '';
let daemon: RunningDaemon | null = null;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'momentarm-done-'));
});
afterEach(async () => {
  await daemon?.stop();
  daemon = null;
  await rm(folder, { recursive: true, force: true });
});

async function command(path: string, body?: object): Promise<Record<string, unknown>> {
  const response = await fetch(new URL(path, daemon?.url), {
    method: 'POST',
    headers: { 'Content-Type': 'application/json' },
    body: body ? JSON.stringify(body) : null,
  });
  const text = await response.text();
  expect(response.ok, text).toBe(true);
  return { ...Object(JSON.parse(text)) } as Record<string, unknown>;
}

/** Runs the stranger's emitter into the device's end of the line until it has said all. */
async function emit(device: string, nSamples: number): Promise<void> {
  const emitter = spawn('python3', [EMITTER, 'lines', 'float64', String(nSamples)], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const line = createWriteStream(device);
  emitter.stdout.pipe(line);
  await once(line, 'finish');
}

/** What the emitter says of itself: an eighth of a whole number, channel c of sample i. */
const sent = (i: number, c: number): number => (((7 * i + 1000 * c) % 20001) - 10_000) / 8;

describe('a foreign emitter on a serial line', () => {
  it('is recorded without one of 60,000 samples lost, over a torn cable, and verifies', async () => {
    const pty = await createPty();
    try {
      const source = `serial:${pty.host}?baud=921600&format=lines`;
      daemon = await startDaemon({ dataFolder: folder, args: ['--source', source] });
      const { id } = await command('api/recordings', { name: 'a stranger' });

      await emit(pty.device, SAMPLES);
      const heard = await daemon.until(({ source: { samples } }) => samples >= SAMPLES, 20_000);
      expect(heard.source).toMatchObject({ samples: SAMPLES, gaps: 0, damaged: 0, rate_Hz: 1000 });

      await pty.tear();
      await daemon.until(({ source: { state } }) => state === 'lost' || state === 'connecting');
      await pty.restore();
      await daemon.until(({ source: { state } }) => state !== 'lost', 5_000);
      await emit(pty.device, 5_000);
      await daemon.until(({ source: { samples } }) => samples >= SAMPLES + 4_900, 10_000);

      const stopped = await command('api/recordings/current/stop');
      expect(stopped).toMatchObject({ id, status: 'complete' });
      const table = await (
        await fetch(`${daemon.url}api/recordings/${String(id)}/table.csv`)
      ).text();
      const [header = '', ...rows] = table.trim().split('\n');
      const places = ['torque', 'angle', 'emg'].map((name) => {
        return header.split(',').findIndex((column) => column.startsWith(name));
      });
      for (let i = 0; i < SAMPLES; i += 1) {
        const cells = rows[i]?.split(',') ?? [];
        const isRight = places.every((place, c) => Number(cells[place]) === sent(i, c));
        if (!isRight) expect.fail(`sample ${i} is ${rows[i]}`);
      }

      const verified = await runProgram(['verify', join(folder, 'recordings', String(id))]);
      expect(verified, verified.err).toMatchObject({ code: 0 });
    } finally {
      await pty.end();
    }
  });
});

describe('live is offline', () => {
  it('what the end of a set stores and tells is what `analyze --plain` prints, bit for bit', async () => {
    const source = 'demo:?script=isokinetic:90x3,rest:3';
    daemon = await startDaemon({ dataFolder: folder, args: ['--source', source] });
    await daemon.until(({ source: { state } }) => state === 'live');
    const client = await openLiveClient(daemon.url);
    const { id } = await command('api/recordings', { name: 'three' });
    await client.when(({ event }) => phasesIn(event, 'provisional') >= 5, 25_000);
    await command('api/recordings/current/stop');
    const settled = await client.when(({ event }) => phasesIn(event, 'settled') >= 5);
    client.close();

    const stored = await (await fetch(`${daemon.url}api/recordings/${String(id)}/analysis`)).text();
    const path = join(folder, 'recordings', String(id));
    const { code, out } = await runProgram(['analyze', path, '--json', '--plain']);
    expect(code).toBe(0);
    const printed = { ...Object(JSON.parse(out)) } as { input: unknown; phases: unknown };
    const kept = { ...Object(JSON.parse(stored)) } as { input: unknown };
    expect(printed).toEqual({ ...kept, input: printed.input });
    expect(settled.event).toMatchObject({ ledger: { phases: printed.phases } });
  });
});

/** How many phases a ledger event of this finality holds; -1 for any other event. */
function phasesIn(event: Readonly<Record<string, unknown>> | undefined, finality: string): number {
  if (event?.['type'] !== 'ledger') return -1;
  const ledger = { ...Object(event['ledger']) } as { finality: string; phases: unknown[] };
  return ledger.finality === finality ? ledger.phases.length : -1;
}
