/** A real TCP connection: nothing lost, broken off and taken up again, absent at start. */
import { once } from 'node:events';
import { createServer, type AddressInfo, type Server, type Socket } from 'node:net';
import { afterEach, describe, expect, test } from 'vitest';
import { firstWrong, listenTo, piecesOf, play, type HeardFeed } from '../support/heard.ts';

let server: Server | null = null;
let heard: HeardFeed;

afterEach(async () => {
  await heard.feed.close();
  server?.close();
});

async function serve(serveOne: (socket: Socket) => void, port = 0): Promise<number> {
  server = createServer({ noDelay: true }, (socket) => {
    socket.on('error', () => undefined);
    serveOne(socket);
  }).listen(port, '127.0.0.1');
  await once(server, 'listening');
  const address: AddressInfo | string | null = server.address();
  return typeof address === 'object' && address !== null ? address.port : 0;
}

const write = (socket: Socket, bytes: Uint8Array): Promise<unknown> =>
  socket.write(bytes) ? Promise.resolve() : once(socket, 'drain');

describe.each(['lines', 'packets'] as const)('%s', (format) => {
  test('60,000 samples at full pace, the format found by itself: none lost, none wrong', async () => {
    const port = await serve((socket) => {
      void (async () => {
        for (const piece of piecesOf(format, 60_000)) await write(socket, piece);
      })();
    });
    heard = listenTo(`tcp://127.0.0.1:${port}`);
    await heard.until(() => heard.feed.status().samples === 60_000);
    expect(heard.feed.status()).toMatchObject({ format, gaps: 0, lostSamples: 0, damaged: 0 });
    expect(firstWrong(heard.blocks, format)).toBe('');
  });
});

test('broken off it is lost at once, and taken up again by itself', async () => {
  const sockets: Socket[] = [];
  const serveOne = (socket: Socket): void => {
    sockets.push(socket);
    void play(piecesOf('packets', 600), (bytes) => socket.write(bytes));
  };
  const port = await serve(serveOne);
  heard = listenTo(`tcp://127.0.0.1:${port}?format=packets`);
  await heard.until(() => heard.feed.status().samples >= 200);
  server?.close();
  sockets[0]?.destroy();
  await heard.until(() => heard.states.some(({ state }) => state === 'lost'), 3000);
  expect(heard.faults.map(({ code }) => code)).toContain('sourceLost');
  await heard.until(
    () => heard.feed.status().detail === `Nothing listens at 127.0.0.1:${port}.`,
    5000,
  );
  await serve(serveOne, port);
  await heard.until(() => heard.states.at(-1)?.state === 'live', 5000);
  expect(heard.feed.status()).toMatchObject({ gaps: 1, tries: 0, detail: '' });
  const indices = heard.blocks.map(({ index }) => index);
  expect(indices).toEqual([...indices].sort((a, b) => a - b));
});

test('a host that is not known is told in words', async () => {
  heard = listenTo('tcp://there-is-none.invalid:9000?format=lines');
  await heard.until(() => heard.feed.status().detail !== 'Waiting for the first samples.', 5000);
  expect(heard.feed.status().detail).toMatch(
    /^The host of there-is-none.invalid:9000 is not known/,
  );
});
