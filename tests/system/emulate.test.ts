/** `emulate` on real ports, a real pseudo-terminal and real files. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { SerialPort } from 'serialport';
import { afterAll, describe, expect, test } from 'vitest';
import { WebSocket } from 'ws';
import { monotonic_ns } from '../../daemon/clock.ts';
import { demo } from '../../daemon/sources/demo.ts';
import { parseWiring } from '../../shared/wiring/wiring.ts';
import { runProgram } from '../support/daemon.ts';
import { readTcp, startEmulation } from '../support/demo-emulator.ts';
import { createPty } from '../support/pty.ts';
import { hear, type Heard } from '../support/wire.ts';

const folder = mkdtempSync(join(tmpdir(), 'momentarm-emulate-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Counts of ai0 by sample index, from the truth file and its wiring. */
function torqueOf(truthFile: string, wiringFile: string): number[] {
  const wiring = parseWiring(JSON.parse(readFileSync(wiringFile, 'utf8')));
  if (!('wiring' in wiring)) throw new Error(wiring.problems.join());
  const { slope = 1, offset = 0 } = wiring.wiring.channels[0] ?? {};
  const [, ...lines] = readFileSync(truthFile, 'utf8').trim().split('\n');
  return lines.map((line) => Math.round((Number(line.split(',')[1]) - offset) / slope));
}

/** Index and ai0 of every sample heard. */
function torqueHeard({ blocks }: Heard): (readonly [number, number])[] {
  return blocks.flatMap(({ format, columns, first, n }) => {
    const c = format.channels.findIndex(({ name }) => name === 'ai0');
    return Array.from({ length: n }, (_, i) => [first + i, columns[c]?.[i] ?? NaN] as const);
  });
}

describe('a TCP port', () => {
  test('a bad cable: nothing is misread, and the counts add up', async () => {
    const truth = join(folder, 'bad.csv');
    const wiring = join(folder, 'bad.json');
    const emulation = startEmulation([
      'tcp://127.0.0.1:0?format=packets',
      ...['--duration', '120', '--speed-factor', '200', '--seed', '5'],
      ...['--fault', 'corrupt=0.02,drop=0.01,duplicate=0.01,junk=0.01'],
      ...['--truth', truth, '--wiring', wiring],
    ]);
    const url = await emulation.url;
    const bytes = await readTcp(url);
    const report = await emulation.done;
    const heard = hear('packets', [bytes]);
    const expected = torqueOf(truth, wiring);
    expect(report).toMatchObject({
      samples: 120_000,
      unsentSamples: 0,
      frames: 6000,
      connections: 1,
    });
    expect(report.overrunBytes).toBe(0);
    expect(report.dropped).toBeGreaterThan(30);
    expect(report.corrupted).toBeGreaterThan(80);
    expect(torqueHeard(heard).filter(([at, value]) => value !== expected[at])).toEqual([]);
    // Junk fouls the next frame unless it ends in a delimiter; a turned delimiter costs two frames.
    const lost = report.samples - heard.counts.samples;
    expect(lost).toBeGreaterThanOrEqual(20 * report.dropped);
    expect(lost).toBeLessThanOrEqual(20 * (report.dropped + 2 * report.corrupted + report.fouled));
    expect(heard.counts.duplicateSamples).toBeLessThanOrEqual(20 * report.duplicated);
    expect(heard.counts.duplicateSamples).toBeGreaterThan(15 * report.duplicated);
  });

  test('as fast as it is read, for two clients, without losing one sample', async () => {
    const emulation = startEmulation([
      'tcp://127.0.0.1:0?format=lines',
      ...['--duration', '60', '--speed-factor', '0', '--once', '--pattern', 'knee'],
      ...['--script', 'rest:2,isokinetic:60x5,rest:60'],
    ]);
    const url = await emulation.url;
    const [bytes, other] = await Promise.all([readTcp(url), readTcp(url)]);
    const report = await emulation.done;
    const heard = hear('lines', [bytes]);
    expect(report).toMatchObject({ samples: 60_000, overrunBytes: 0 });
    expect(heard.counts).toMatchObject({ samples: 60_000, lostSamples: 0, damagedFrames: 0 });
    // The second client may come a moment later; from then on it hears the same.
    expect(other.length).toBeGreaterThan(0);
    const tail = (all: Uint8Array) => Buffer.from(all.subarray(-100_000)).toString('base64');
    if (other.length > 100_000) expect(tail(other)).toBe(tail(bytes));
  });

  test('silence, restart, another rate, fewer channels and a closed connection', async () => {
    const emulation = startEmulation([
      'tcp://127.0.0.1:0?format=packets',
      ...['--duration', '12', '--speed-factor', '20'],
      ...['--fault', 'silence=1s@2s,restart@4s,rate=500@6s,channels=2@8s,close=1s@9s'],
    ]);
    const url = await emulation.url;
    const before = hear('packets', [await readTcp(url)]);
    // The port is closed for 50 ms of real time.
    let after: Heard | null = null;
    for (let k = 0; k < 50 && after === null; k++) {
      await sleep(10);
      after = await readTcp(url).then(
        (bytes) => hear('packets', [bytes]),
        () => null,
      );
    }
    const report = await emulation.done;
    expect(report).toMatchObject({ silences: 1, restarts: 1, reconfigurations: 2, closes: 1 });
    expect(report.connections).toBe(2);
    expect(before.counts.lostSamples).toBe(1000);
    expect(new Set(before.blocks.map(({ format }) => format.rate_Hz))).toEqual(
      new Set([1000, 500]),
    );
    expect(before.blocks.at(-1)?.format.channels).toHaveLength(2);
    expect(after?.blocks[0]?.format).toMatchObject({ rate_Hz: 500 });
    expect(after?.counts.samples).toBeGreaterThan(500);
  });
});

describe('a WebSocket', () => {
  test('gives binary messages of whole frames at its path only', async () => {
    const emulation = startEmulation([
      'ws://127.0.0.1:0/stream?format=packets',
      ...['--duration', '4', '--speed-factor', '10'],
    ]);
    const url = await emulation.url;
    const wrong = new WebSocket(url.replace('stream', 'other'));
    const refused = await new Promise<string>((resolve) => {
      wrong.on('error', (error) => resolve(error.message));
      wrong.on('open', () => resolve('open'));
    });
    expect(refused).toMatch(/400/);
    const messages: Buffer[] = [];
    const socket = new WebSocket(url);
    socket.on('message', (message: Buffer) => messages.push(message));
    await new Promise((resolve) => socket.on('close', resolve));
    const report = await emulation.done;
    const heard = hear('packets', [Buffer.concat(messages)]);
    expect(report.samples).toBe(4000);
    expect(heard.counts).toMatchObject({ samples: 4000, lostSamples: 0, damagedFrames: 0 });
    expect(messages.every((message) => message.at(-1) === 0)).toBe(true);
  });
});

describe('a serial line', () => {
  test('real pace, torn away and put back', async () => {
    const pty = await createPty();
    const emulation = startEmulation([
      `serial:${pty.device}?baud=921600&format=lines`,
      ...['--duration', '4'],
    ]);
    await emulation.url;
    const first = listen(pty.host);
    const start_ns = monotonic_ns();
    await sleep(1200);
    await pty.tear();
    await first.closed;
    await pty.restore();
    const second = listen(pty.host);
    const report = await emulation.done;
    const took_s = (monotonic_ns() - start_ns) / 1e9;
    await sleep(50);
    await second.close();
    await pty.end();
    const [before, after] = [first, second].map(({ bytes }) =>
      hear('lines', [Buffer.concat(bytes)]),
    );
    expect(report.samples).toBe(4000);
    expect(report.connections).toBe(2);
    expect(took_s).toBeGreaterThan(3.8);
    expect(took_s).toBeLessThan(5);
    expect(before?.counts.samples).toBeGreaterThan(900);
    expect(before?.counts.lostSamples).toBe(0);
    expect(after?.counts.samples).toBeGreaterThan(1500);
    expect(after?.counts.lostSamples).toBe(0);
  });
});

describe('files', () => {
  test('a plain table, the truth beside it, and the wiring', async () => {
    const [out, truth, wiring] = ['out.csv', 'truth.csv', 'wiring.json'].map((name) =>
      join(folder, name),
    );
    const result = await runProgram([
      'emulate',
      ...['--out', out ?? '', '--truth', truth ?? '', '--wiring', wiring ?? '', '--json'],
      ...['--pattern', 'knee', '--script', 'isokinetic:180x2', '--subject', 'SH-02'],
    ]);
    expect(result.err).toBe('');
    expect(result.code).toBe(0);
    const document = JSON.parse(result.out) as { samples: number };
    const rows = readFileSync(out ?? '', 'utf8')
      .trim()
      .split('\n');
    expect(rows[0]).toBe('time_s,torque_Nm,angle_deg');
    expect(rows).toHaveLength(document.samples + 1);
    const truthRows = readFileSync(truth ?? '', 'utf8')
      .trim()
      .split('\n');
    expect(truthRows).toHaveLength(rows.length);
    expect(truthRows[0]).toMatch(/^time_s,torque_Nm,angle_deg,.*true_muscle_Nm/);
    expect(truthRows.slice(1).map((row) => row.split(',').slice(0, 3).join())).toEqual(
      rows.slice(1),
    );
    expect(parseWiring(JSON.parse(readFileSync(wiring ?? '', 'utf8')))).toHaveProperty('wiring');
  });
});

describe('wrong arguments', () => {
  test.each([
    [[], /no URL: give one such as tcp:/],
    [['udp://127.0.0.1:9'], /cannot be written to: use serial:/],
    [['nonsense'], /is no URL/],
    [['tcp://nowhere'], /has no address/],
    [['tcp://127.0.0.1:99999'], /has no address/],
    [['serial:/nowhere/tty'], /cannot open \/nowhere\/tty/],
    [['serial:/dev/null?baud=fast'], /baud fast/],
    [['tcp://127.0.0.1:0', '--rate', 'many'], /rate many/],
    [['tcp://127.0.0.1:0', '--fault', 'magic=1'], /fault magic=1 is not known/],
    [['tcp://127.0.0.1:0?colour=red'], /colour is not an option/],
    [['tcp://127.0.0.1:0', '--colour', 'red'], /unknown option --colour/],
    [['tcp://127.0.0.1:0', 'more'], /more is not an option/],
    [['--out', '/nowhere/out.csv'], /cannot write \/nowhere\/out.csv/],
  ] as const)('%j: one line and status 2', async (args, why) => {
    const { code, out, err } = await runProgram(['emulate', ...args]);
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err.trim().split('\n')).toHaveLength(1);
    expect(err).toMatch(why);
  });
});

describe('the demo source', () => {
  test('keeps real pace: every sample that is due and none that is not', async () => {
    const pieces: Uint8Array[] = [];
    const stop = new AbortController();
    const url = { id: 'demo', target: '', options: { seed: '3' }, text: 'demo:?seed=3' };
    const start_ns = monotonic_ns();
    const connection = await demo.open(
      url,
      { bytes: (bytes) => void pieces.push(bytes.slice()) },
      stop.signal,
    );
    await sleep(1500);
    stop.abort();
    const elapsed_s = (monotonic_ns() - start_ns) / 1e9;
    expect(await connection.closed).toBe('stopped');
    const heard = hear('packets', pieces);
    expect(heard.counts).toMatchObject({ lostSamples: 0, damagedFrames: 0, duplicateSamples: 0 });
    expect(heard.counts.samples).toBeLessThanOrEqual(elapsed_s * 1000);
    expect(heard.counts.samples).toBeGreaterThan(elapsed_s * 1000 - 150);
    const before = pieces.length;
    await sleep(60);
    expect(pieces.length).toBe(before);
  });
});

/** Reads a serial line until it closes. */
function listen(path: string) {
  const bytes: Buffer[] = [];
  const port = new SerialPort({ path, baudRate: 921_600 });
  port.on('data', (piece: Buffer) => bytes.push(piece));
  const closed = new Promise<void>((resolve) => {
    port.on('close', () => resolve());
    port.on('error', () => resolve());
  });
  return {
    bytes,
    closed,
    close: () => new Promise<void>((resolve) => port.close(() => resolve())),
  };
}
