/** The daemon as a process: ready line, health over a source that dies and returns, orderly end. */
import { spawn } from 'node:child_process';
import { mkdtemp, readdir, rm, stat, writeFile } from 'node:fs/promises';
import { createServer, type Server, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { bundledProgram, type RunningDaemon, runProgram, startDaemon } from '../support/daemon.ts';

const running: RunningDaemon[] = [];
const start = async (...args: Parameters<typeof startDaemon>): Promise<RunningDaemon> => {
  const daemon = await startDaemon(...args);
  running.push(daemon);
  return daemon;
};
afterEach(async () => {
  for (const daemon of running.splice(0)) await daemon.stop('SIGKILL');
});

async function post(daemon: RunningDaemon, path: string, body?: object): Promise<Response> {
  return fetch(daemon.url + path, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json' },
    body: body ? JSON.stringify(body) : null,
  });
}

describe('start', () => {
  it('prints one ready line and is live on the demo at once', async () => {
    const daemon = await start();
    expect(daemon.out).toEqual([`momentarm ready ${daemon.url}`]);
    const health = await daemon.until(({ source }) => source.state === 'live');
    expect(health.status).toBe('ok');
    expect(health.source.rate_Hz).toBe(1000);
    expect(health.recording).toBeNull();
  });

  it('makes a data folder that only its owner may enter', async () => {
    const daemon = await start();
    expect((await stat(daemon.dataFolder)).mode & 0o777).toBe(0o700);
  });

  it.each([
    ['a port that is taken', (taken: RunningDaemon) => ['--port', String(taken.port)], /in use/],
    ['a host that is not ours', () => ['--host', '192.0.2.1', '--open'], /not an address/],
    ['a host of the network', () => ['--host', '0.0.0.0'], /--open/],
    ['a source that is none', () => ['--source', 'carrier-pigeon:'], /give one of/],
    ['a wiring that is not there', () => ['--wiring', 'none.json'], /no such file/],
    ['an unknown option', () => ['--prot', '1'], /unknown option --prot/],
  ])('refuses %s in one line, status 2', async (_, argsFor, words) => {
    const taken = await start();
    const folder = await mkdtemp(join(tmpdir(), 'momentarm-refused-'));
    const { code, out, err } = await runProgram(['serve', '--data', folder, ...argsFor(taken)]);
    await rm(folder, { recursive: true });
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(/^momentarm serve: [^\n]+\n$/);
    expect(err).toMatch(words);
  });

  it('refuses a data folder that another station uses, and names it', async () => {
    const first = await start();
    const args = ['serve', '--port', '0', '--data', first.dataFolder];
    const { code, err } = await runProgram(args);
    expect(code).toBe(2);
    expect(err).toContain(`another station (process ${first.process.pid})`);
  });

  it('takes over the folder of a station that was killed', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'momentarm-killed-'));
    const first = await start({ dataFolder: folder });
    await first.stop('SIGKILL');
    const second = await start({ dataFolder: folder });
    expect((await second.stop()).code).toBe(0);
    await rm(folder, { recursive: true });
  });

  it('refuses a data folder that is a file', async () => {
    const path = join(await mkdtemp(join(tmpdir(), 'momentarm-file-')), 'file');
    await writeFile(path, '');
    const { code, err } = await runProgram(['serve', '--port', '0', '--data', path]);
    expect(code).toBe(2);
    expect(err).toMatch(/^momentarm serve: --data [^\n]+\n$/);
  });
});

it('a reader that goes away ends the program quietly', async () => {
  const child = spawn(process.execPath, [await bundledProgram(), '--help']);
  child.stdout.destroy();
  let err = '';
  child.stderr.on('data', (piece: Buffer) => (err += piece.toString()));
  expect(await new Promise((resolve) => child.once('close', resolve))).toBe(0);
  expect(err).toBe('');
});

describe('end', () => {
  it.each(['SIGTERM', 'SIGINT'] as const)('%s closes the recording within 2 s', async (signal) => {
    const folder = await mkdtemp(join(tmpdir(), 'momentarm-end-'));
    const daemon = await start({ dataFolder: folder });
    await daemon.until(({ source }) => source.state === 'live');
    expect((await post(daemon, 'api/recordings', { name: 'to the end' })).status).toBe(201);
    await daemon.until(({ recording }) => (recording?.durableSamples ?? 0) > 500);
    const { code, took_ms } = await daemon.stop(signal);
    expect(code).toBe(0);
    expect(took_ms).toBeLessThan(2_000);
    const [id = ''] = await readdir(join(folder, 'recordings'));
    expect(await readdir(join(folder, 'recordings', id))).toContain('stop.json');
    expect(await readdir(folder)).not.toContain('station.lock');
    await rm(folder, { recursive: true });
  });

  it('follows when the front door that started it dies', async () => {
    const program = await bundledProgram();
    const folder = await mkdtemp(join(tmpdir(), 'momentarm-door-'));
    const args = JSON.stringify([program, 'serve', '--port', '0', '--data', folder]);
    const door = spawn(process.execPath, [
      '-e',
      `require('node:child_process').spawn(process.execPath, ${args}, {
        env: { ...process.env, MOMENTARM_FRONT_DOOR: String(process.pid) },
        stdio: 'inherit' }).on('spawn', function () { console.log('pid', this.pid); })`,
    ]);
    const lines = await new Promise<string>((resolve) => {
      let text = '';
      door.stdout.on('data', (piece: Buffer) => {
        text += piece.toString();
        if (text.includes('ready') && text.includes('pid')) resolve(text);
      });
    });
    const pid = Number(/pid (\d+)/.exec(lines)?.[1]);
    const from_ms = performance.now();
    door.kill('SIGKILL');
    while (isAlive(pid) && performance.now() - from_ms < 5_000) await sleep(20);
    expect(performance.now() - from_ms).toBeLessThan(2_500);
    await rm(folder, { recursive: true });
  });
});

describe('a device that dies and returns', () => {
  it('is stale, lost and live again, each in its time, with one recording open', async () => {
    const device = await openDevice();
    const source = `tcp://127.0.0.1:${device.port}?format=lines&rate=1000`;
    const daemon = await start({ args: ['--source', source] });
    await daemon.until(({ source: { state } }) => state === 'live');
    expect((await post(daemon, 'api/recordings', { name: 'torn' })).status).toBe(201);
    await sleep(500);

    device.isMute = true;
    const muted_ms = performance.now();
    await daemon.until(({ source: { state } }) => state === 'stale');
    expect(performance.now() - muted_ms).toBeLessThan(1_000);
    await daemon.until(({ source: { state } }) => state === 'lost');
    expect(performance.now() - muted_ms).toBeLessThan(2_500);

    device.isMute = false;
    await daemon.until(({ source: { state } }) => state === 'live');
    await device.close();
    const degraded = await daemon.until(({ source: { state } }) => state !== 'live', 1_000);
    expect(degraded.status).toBe('degraded');

    const again = await openDevice(device.port);
    const health = await daemon.until(({ source: { state } }) => state === 'live', 8_000);
    expect(health.source.gaps).toBeGreaterThanOrEqual(2);
    expect(health.recording?.samples).toBeGreaterThan(500);
    const stopped = await post(daemon, 'api/recordings/current/stop');
    expect(await stopped.json()).toMatchObject({ status: 'complete' });
    await again.close();
  });

  it('need not be there at the start', async () => {
    const vacant = await openDevice();
    await vacant.close();
    const source = `tcp://127.0.0.1:${vacant.port}?format=lines&rate=1000`;
    const daemon = await start({ args: ['--source', source] });
    const waiting = await daemon.health();
    expect(waiting).toMatchObject({ status: 'degraded', source: { rate_Hz: null, samples: 0 } });
    const device = await openDevice(vacant.port);
    await daemon.until(({ source: { state } }) => state === 'live', 8_000);
    await device.close();
  });
});

const sleep = (time_ms: number) => new Promise((resolve) => setTimeout(resolve, time_ms));

function isAlive(pid: number): boolean {
  try {
    return process.kill(pid, 0);
  } catch {
    return false;
  }
}

interface Device {
  readonly port: number;
  isMute: boolean;
  close(): Promise<void>;
}

/** A device of the simplest kind: 1000 lines a second for whoever connects; counts on while mute. */
async function openDevice(port = 0): Promise<Device> {
  const sockets = new Set<Socket>();
  const server: Server = createServer((socket) => {
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket)).on('error', () => socket.destroy());
    socket.write('sample,torque_Nm,angle_deg\n');
  });
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve));
  const begun_ms = performance.now();
  let sent = 0;
  const timer = setInterval(() => {
    const due = Math.floor(performance.now() - begun_ms);
    const lines: string[] = [];
    for (; sent < due; sent += 1) {
      lines.push(`${sent},${(20 * Math.sin(sent / 300)).toFixed(3)},${(sent % 90).toFixed(1)}`);
    }
    if (!device.isMute) for (const socket of sockets) socket.write(`${lines.join('\n')}\n`);
  }, 10);
  const address = server.address();
  const device: Device = {
    port: typeof address === 'object' && address ? address.port : 0,
    isMute: false,
    close: async () => {
      clearInterval(timer);
      for (const socket of sockets) socket.destroy();
      await new Promise((resolve) => server.close(resolve));
    },
  };
  return device;
}
