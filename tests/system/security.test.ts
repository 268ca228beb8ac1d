/**
 * The station against whatever else runs on the same machine: other pages, other programs, floods.
 * Numbers in brackets are requirements of OWASP ASVS 5.0, from memory.
 */
import { readdirSync } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { networkInterfaces } from 'node:os';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import WebSocket from 'ws';
import { type RunningDaemon, startDaemon } from '../support/daemon.ts';
import { rawGet, rawRequest, upgradeRequest } from '../support/raw-http.ts';

let daemon: RunningDaemon;
beforeAll(async () => {
  daemon = await startDaemon();
  await daemon.until(({ source }) => source.state === 'live');
});
afterAll(() => daemon.stop());

const ownHost = () => `127.0.0.1:${daemon.port}`;
const statusOf = (reply: string) => Number(/^HTTP\/1\.1 (\d{3})/.exec(reply)?.[1] ?? 0);
const sleep = (time_ms: number) => new Promise((resolve) => setTimeout(resolve, time_ms));

describe('who may speak (3.5.1, 3.5.2, 4.4.2)', () => {
  it.each(['station.example', `station.example:1`, '127.0.0.1:1', ''])(
    'a request for host %j is refused, on HTTP and on the socket',
    async (host) => {
      expect(statusOf(await rawGet(daemon.port, '/api/health', { Host: host }))).toBe(403);
      const upgrade = upgradeRequest(daemon.port, '/live', { Host: host });
      expect(statusOf(await rawRequest(daemon.port, upgrade))).toBe(403);
    },
  );

  it.each(['http://station.example', 'null', 'http://127.0.0.1:1', 'file://'])(
    'a page from %s is refused, on HTTP and on the socket',
    async (Origin) => {
      const headers = { Host: ownHost(), Origin };
      expect(statusOf(await rawGet(daemon.port, '/api/health', headers))).toBe(403);
      for (const path of ['/live', '/live/subject']) {
        const upgrade = upgradeRequest(daemon.port, path, { Origin });
        expect(statusOf(await rawRequest(daemon.port, upgrade))).toBe(403);
      }
    },
  );

  it('a page of another origin can neither read nor write: no answer allows it (3.4.2, 3.5.3)', async () => {
    const preflight =
      `OPTIONS /api/setup HTTP/1.1\r\nHost: ${ownHost()}\r\nOrigin: http://station.example\r\n` +
      'Access-Control-Request-Method: PUT\r\nConnection: close\r\n\r\n';
    const reply = await rawRequest(daemon.port, preflight);
    expect(statusOf(reply)).toBe(403);
    expect(reply.toLowerCase()).not.toContain('access-control-allow');
  });

  it('only this machine can connect at all', async () => {
    const others = Object.values(networkInterfaces())
      .flatMap((entries) => entries ?? [])
      .filter(({ internal, family }) => !internal && family === 'IPv4');
    for (const { address } of others) {
      const isOpen = await new Promise<boolean>((resolve) => {
        const socket = connect(daemon.port, address, () => resolve(true));
        socket.on('error', () => resolve(false));
      });
      expect(isOpen, address).toBe(false);
    }
    expect((await daemon.health()).status).toBe('ok');
  });
});

describe('every answer (3.4.3 - 3.4.8)', () => {
  it.each(['/', '/tester', '/api/health', '/api/nothing', '/nothing', '/assets/none.js'])(
    '%s carries the headers that keep other content out',
    async (path) => {
      const reply = await rawGet(daemon.port, path, { Host: ownHost() });
      expect(reply).toMatch(/^Content-Security-Policy: default-src 'none'; script-src 'self';/im);
      expect(reply).toMatch(/frame-ancestors 'none'/);
      expect(reply).not.toMatch(/script-src[^;]*unsafe/);
      expect(reply).toMatch(/^X-Content-Type-Options: nosniff/im);
      expect(reply).toMatch(/^Referrer-Policy: no-referrer/im);
      expect(reply).not.toMatch(/^(X-Powered-By|Server|Access-Control-[\w-]+):/im);
    },
  );
});

describe('paths (5.3.2)', () => {
  const TARGETS = [
    '/../package.json',
    '/..%2fpackage.json',
    '/%2e%2e/package.json',
    '/assets/../../package.json',
    '/assets/..%5c..%5cpackage.json',
    '//package.json',
    '/./../../../etc/passwd',
    '/....//....//etc/passwd',
    '/%00/etc/passwd',
    '/tester/../../package.json',
    'http://station.example/package.json',
    '/api/recordings/..%2f..%2fpackage.json',
    '/api/recordings/%2e%2e',
    '/api/recordings/station.json',
    '/api/recordings/..%2fstation.lock/table.csv',
  ];
  it.each(TARGETS)('%s leads nowhere', async (target) => {
    const reply = await rawGet(daemon.port, target, { Host: ownHost() });
    expect([400, 403, 404, 200]).toContain(statusOf(reply));
    expect(reply).not.toMatch(/"momentarm"|root:|"pid"|allowScripts/);
    expect(reply).not.toMatch(/node_modules|\.ts:\d|at Object\.|at async/);
  });
});

describe('requests that are none', () => {
  it.each([
    ['no HTTP', 'hello\r\n\r\n', 400],
    ['no host', 'GET / HTTP/1.1\r\n\r\n', 400],
    ['headers without end', `GET / HTTP/1.1\r\nX: ${'x'.repeat(20_000)}\r\n\r\n`, 431],
    ['an address without end', `GET /${'x'.repeat(5_000)} HTTP/1.1\r\n`, 414],
    ['two lengths', 'POST / HTTP/1.1\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\n', 400],
  ])('%s is answered and forgotten', async (_, text, status) => {
    const end = text.endsWith('\r\n\r\n') ? '' : `Host: ${ownHost()}\r\nConnection: close\r\n\r\n`;
    const reply = await rawRequest(daemon.port, text + end);
    expect(statusOf(reply)).toBe(status);
    expect((await daemon.health()).status).toBe('ok');
  });
});

describe('the socket (4.4.1)', () => {
  const open = async (path = 'live') => {
    const socket = new WebSocket(daemon.url.replace('http', 'ws') + path);
    await new Promise((resolve, reject) => socket.once('open', resolve).once('error', reject));
    return socket;
  };
  const closeCode = (socket: WebSocket) =>
    new Promise<number>((resolve) => socket.once('close', resolve));

  it('agrees to no compression', async () => {
    const socket = await open();
    expect(socket.extensions).toBe('');
    socket.close();
  });

  it.each([
    ['more than 64 KiB', 'x'.repeat(65_537), 1009],
    ['no JSON', 'hello', 1008],
    ['another message', '{"do":"something"}', 1008],
    ['an index that is none', '{"ack":"1"}', 1008],
    ['bytes', Buffer.from([1, 2, 3]), 1008],
  ])('closes on %s', async (_, message, code) => {
    const socket = await open();
    socket.send(message);
    expect(await closeCode(socket)).toBe(code);
  });

  it('closes on a flood of acknowledgements, and serves the next', async () => {
    const socket = await open();
    for (let i = 0; i < 5_000; i += 1) socket.send(`{"ack":${i}}`);
    expect(await closeCode(socket)).toBe(1008);
    (await open()).close();
  });

  it('knows two addresses', async () => {
    const reply = await rawRequest(daemon.port, upgradeRequest(daemon.port, '/live/../admin'));
    expect(statusOf(reply)).toBe(404);
  });
});

describe('floods', () => {
  const descriptors = () => readdirSync(`/proc/${daemon.process.pid}/fd`).length;
  const connectMany = (count: number): Promise<Socket[]> =>
    Promise.all(
      Array.from(
        { length: count },
        () =>
          new Promise<Socket>((resolve) => {
            const socket = connect(daemon.port, '127.0.0.1', () => resolve(socket));
            socket.on('error', () => resolve(socket));
          }),
      ),
    );
  const answer_ms = async (): Promise<number> => {
    const from_ms = performance.now();
    await daemon.health();
    return performance.now() - from_ms;
  };

  it('200 trickling requests and 1000 silent connections leave the others fast, and are given up', async () => {
    const before = descriptors();
    const slow = await connectMany(200);
    slow.forEach((socket) => socket.write(`GET / HTTP/1.1\r\nHost: ${ownHost()}\r\n`));
    const trickle = setInterval(() => slow.forEach((socket) => socket.write('X-A: b\r\n')), 500);
    await sleep(500);
    expect(await answer_ms()).toBeLessThan(2_000);

    const silent = await connectMany(1_000);
    expect(descriptors()).toBeLessThan(before + 700);
    // Most are still open from the other end: it is our side that must have closed.
    const patience_ms = performance.now() + 12_000;
    while (descriptors() > before + 20 && performance.now() < patience_ms) await sleep(100);
    clearInterval(trickle);
    expect(descriptors()).toBeLessThanOrEqual(before + 20);
    expect(await answer_ms()).toBeLessThan(2_000);
    expect((await daemon.health()).status).toBe('ok');
    [...slow, ...silent].forEach((socket) => socket.destroy());
  });
});

it('nothing of all this was an error of the house', () => {
  expect(daemon.err.filter((line) => line.includes('"error"'))).toEqual([]);
});
