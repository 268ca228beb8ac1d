/** A real WebSocket: binary and text messages, broken off and taken up again, what is none. */
import { once } from 'node:events';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, expect, test } from 'vitest';
import { WebSocketServer, type WebSocket } from 'ws';
import { firstWrong, listenTo, piecesOf, type HeardFeed } from '../support/heard.ts';

let server: WebSocketServer | null = null;
let heard: HeardFeed;

afterEach(async () => {
  await heard.feed.close();
  server?.close();
});

async function serve(
  serveOne: (socket: WebSocket, url: string) => void,
  port = 0,
): Promise<number> {
  server = new WebSocketServer({ port, host: '127.0.0.1' });
  server.on('connection', (socket, request) => serveOne(socket, request.url ?? ''));
  await once(server, 'listening');
  return portOf(server.address());
}

function portOf(address: AddressInfo | string | null): number {
  return typeof address === 'object' && address !== null ? address.port : 0;
}

const latin = (bytes: Uint8Array): string => Buffer.from(bytes).toString('latin1');

test('binary messages: 60,000 samples, none lost, none wrong', async () => {
  const port = await serve((socket) => {
    for (const piece of piecesOf('packets', 60_000)) socket.send(piece);
  });
  heard = listenTo(`ws://127.0.0.1:${port}/stream?format=packets`);
  await heard.until(() => heard.feed.status().samples === 60_000);
  expect(heard.feed.status()).toMatchObject({ gaps: 0, lostSamples: 0, damaged: 0 });
  expect(firstWrong(heard.blocks, 'packets')).toBe('');
});

test('text messages of many lines: 60,000 samples, none lost, none wrong', async () => {
  const port = await serve((socket) => {
    for (const piece of piecesOf('lines', 60_000)) socket.send(latin(piece));
  });
  heard = listenTo(`ws://127.0.0.1:${port}/stream`);
  await heard.until(() => heard.feed.status().samples === 60_000);
  expect(heard.feed.status()).toMatchObject({ format: 'lines', lostSamples: 0, damaged: 0 });
  expect(firstWrong(heard.blocks, 'lines')).toBe('');
});

test('text messages of one line each need no line end', async () => {
  const port = await serve((socket) => {
    for (const piece of piecesOf('lines', 2000)) {
      for (const line of latin(piece).trim().split('\n')) socket.send(line);
    }
  });
  heard = listenTo(`ws://127.0.0.1:${port}/stream?format=lines`);
  await heard.until(() => heard.feed.status().samples === 2000);
  expect(firstWrong(heard.blocks, 'lines')).toBe('');
});

test('the address goes to the device without our own options', async () => {
  const urls: string[] = [];
  const port = await serve((_socket, url) => void urls.push(url));
  heard = listenTo(`ws://127.0.0.1:${port}/a/b?format=lines&token=x%20y&rate=100`);
  await heard.until(() => urls.length > 0);
  expect(urls).toEqual(['/a/b?token=x+y']);
  expect(heard.feed.status().url).toBe(
    `ws://127.0.0.1:${port}/a/b?format=lines&token=...&rate=100`,
  );
});

test('broken off it is taken up again by itself', async () => {
  let nOpened = 0;
  const port = await serve((socket) => {
    nOpened += 1;
    for (const piece of piecesOf('packets', 400)) socket.send(piece);
    if (nOpened === 1) socket.close();
  });
  heard = listenTo(`ws://127.0.0.1:${port}/?format=packets`);
  await heard.until(() => heard.feed.status().samples === 800, 5000);
  expect(heard.feed.status().gaps).toBe(1);
  expect(nOpened).toBe(2);
});

test('a page that is no WebSocket is told in words', async () => {
  const pages = createServer((_request, response) => {
    response.writeHead(404).end();
  }).listen(0, '127.0.0.1');
  await once(pages, 'listening');
  const port = portOf(pages.address());
  heard = listenTo(`ws://127.0.0.1:${port}/?format=lines`);
  await heard.until(
    () => heard.feed.status().detail.includes('answers 404 and no WebSocket'),
    5000,
  );
  pages.close();
});
