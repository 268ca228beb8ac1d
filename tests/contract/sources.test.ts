/** Every source keeps the contract: its form is readable, it opens, fails in words, closes twice, aborts. */
import { once } from 'node:events';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer, type AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { describe, expect, test } from 'vitest';
import { WebSocketServer } from 'ws';
import { SOURCES, type SourceSink, type SourceUrl } from '../../daemon/sources/index.ts';
import { parseSourceUrl } from '../../daemon/sources/url.ts';
import { createPty } from '../support/pty.ts';

/** Something to connect to that sends bytes now and then, and how to end it. */
interface Fixture {
  readonly url: string;
  end(): Promise<void>;
}

const BYTES = new TextEncoder().encode('time_us,ai0\n1000,1\n');
const EVERY_ms = 5;

const WORKING: Readonly<Record<string, () => Promise<Fixture>>> = {
  demo: () => Promise.resolve({ url: 'demo:', end: () => Promise.resolve() }),
  async serial() {
    const pty = await createPty();
    const device = await pty.openDevice();
    const timer = setInterval(() => void device.write(BYTES).catch(() => undefined), EVERY_ms);
    return {
      url: `serial:${pty.host}?baud=115200`,
      async end() {
        clearInterval(timer);
        await device.close();
        await pty.end();
      },
    };
  },
  async tcp() {
    const server = createServer((socket) => {
      const timer = setInterval(() => socket.write(BYTES), EVERY_ms);
      socket.on('error', () => undefined).on('close', () => clearInterval(timer));
    }).listen(0, '127.0.0.1');
    await once(server, 'listening');
    return {
      url: `tcp://127.0.0.1:${portOf(server.address())}`,
      end: () => ended(server),
    };
  },
  replay() {
    const folder = mkdtempSync(join(tmpdir(), 'momentarm-'));
    const table = join(folder, 'set.csv');
    const rows = Array.from({ length: 1000 }, (_, k) => `${k / 100},1`);
    writeFileSync(table, ['time_s,torque_Nm', ...rows].join('\n'));
    return Promise.resolve({
      url: `replay:${table}?speed=20`,
      end: () => Promise.resolve(rmSync(folder, { recursive: true })),
    });
  },
  async ws() {
    const server = new WebSocketServer({ port: 0, host: '127.0.0.1' });
    server.on('connection', (socket) => {
      const timer = setInterval(() => socket.send(BYTES), EVERY_ms);
      socket.on('close', () => clearInterval(timer));
    });
    await once(server, 'listening');
    return {
      url: `ws://127.0.0.1:${portOf(server.address())}`,
      end: () => ended(server),
    };
  },
};

/** Where nothing is; a source that cannot fail has none. */
const FAILING: Readonly<Record<string, string>> = {
  serial: 'serial:/dev/there-is-none?baud=115200',
  tcp: 'tcp://127.0.0.1:1',
  ws: 'ws://127.0.0.1:1/stream',
  replay: 'replay:there-is-none',
};

/** Not waited for: it ends when its last connection does. */
function ended(server: { close(): unknown }): Promise<void> {
  server.close();
  return Promise.resolve();
}

function portOf(address: AddressInfo | string | null): number {
  return typeof address === 'object' && address !== null ? address.port : 0;
}

function listener(): { sink: SourceSink; nBytes: () => number } {
  let n = 0;
  return { sink: { bytes: (bytes) => void (n += bytes.length) }, nBytes: () => n };
}

async function until(isTrue: () => boolean): Promise<void> {
  for (let k = 0; k < 400 && !isTrue(); k += 1) await sleep(5);
  expect(isTrue()).toBe(true);
}

describe.each(SOURCES)('$id', (source) => {
  const { id, form, about } = source;

  test('its form can be typed, and it is described in one line', () => {
    expect(parseSourceUrl(form).id).toBe(id);
    expect(about).toMatch(/^[^\n]{10,100}$/);
  });

  test('opens, delivers, and closes as often as asked', async () => {
    const fixture = await (WORKING[id] ?? expect.fail(`give ${id} a fixture above`))();
    const heard = listener();
    const url = parseSourceUrl(fixture.url);
    const connection = await source.open(url, heard.sink, new AbortController().signal);
    await until(() => heard.nBytes() > 0);
    await Promise.all([connection.close(), connection.close()]);
    await connection.close();
    expect(await connection.closed).toMatch(/\w/);
    const before = heard.nBytes();
    await sleep(5 * EVERY_ms);
    expect(heard.nBytes()).toBe(before);
    await fixture.end();
  });

  test('ends when it is aborted, before and after it opened', async () => {
    const fixture = await (WORKING[id] ?? expect.fail())();
    const heard = listener();
    const url: SourceUrl = parseSourceUrl(fixture.url);
    const early = new AbortController();
    early.abort();
    const opened = await source.open(url, heard.sink, early.signal).catch(() => null);
    if (opened !== null) await opened.closed;
    const late = new AbortController();
    const connection = await source.open(url, heard.sink, late.signal);
    late.abort();
    await connection.closed;
    const before = heard.nBytes();
    await sleep(5 * EVERY_ms);
    expect(heard.nBytes()).toBe(before);
    await fixture.end();
  });

  test('what cannot be opened is one plain sentence', async () => {
    const failing = FAILING[id];
    if (failing === undefined) return expect(id).toBe('demo');
    const opening = source.open(
      parseSourceUrl(failing),
      listener().sink,
      new AbortController().signal,
    );
    await expect(opening).rejects.toThrow(/^[^\n]{10,150}\.$/);
  });
});
