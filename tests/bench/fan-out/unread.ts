/**
 * P5: an hour of blocks to a client that stopped reading, as fast as they can be made: what the process
 * grew by, and how old the newest thing is that the client gets first when it reads again.
 */
import { createServer as createHttpServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import WebSocket, { WebSocketServer } from 'ws';
import { OPEN_DOOR } from '../../../daemon/access/door.ts';
import { serveLive } from '../../../daemon/http/live.ts';
import { createHub } from '../../../daemon/sinks/hub.ts';
import {
  decodeLiveBlock,
  encodeLiveBlock,
  type LiveBlockSource,
} from '../../../shared/wire/block-codec.ts';

const N = 20;
const RATE_Hz = 1000;
const HOUR_BLOCKS = (3600 * RATE_Hz) / N;
/** Blocks between two turns of the event loop, so that sockets do what they would do in an hour. */
const BLOCKS_A_TURN = 50;

const columns = Array.from({ length: 5 }, () => new Float64Array(N).fill(1));
const block = (k: number): LiveBlockSource => {
  return { index: N * k, n: N, rate_Hz: RATE_Hz, arrival_ms: 0, afterGap: false, columns };
};

interface Unread {
  readonly grown_MB: number;
  /** Seconds of stream that lie between the first block read on return and the newest one sent. */
  readonly oldest_s: number;
  /** Seconds of stream that were still to be read before the newest came. */
  readonly toCatchUp_s: number;
}

const turn = () => new Promise((resolve) => setImmediate(resolve));
const sleep = (time_ms: number) => new Promise((resolve) => setTimeout(resolve, time_ms));

async function anHour(
  send: (block: LiveBlockSource) => void,
  url: string,
  isAcknowledging: boolean,
): Promise<Unread> {
  const client = new WebSocket(url);
  client.binaryType = 'arraybuffer';
  const read: number[] = [];
  client.on('message', (data) => {
    const got = data instanceof ArrayBuffer ? decodeLiveBlock(data) : null;
    if (!got) return;
    read.push(got.index);
    if (isAcknowledging) client.send(JSON.stringify({ ack: got.index }));
  });
  await new Promise((resolve) => client.once('open', resolve));
  for (let k = 0; k < 20; k += 1) {
    send(block(k));
    await sleep(5);
  }
  client.pause();
  await sleep(50);
  const already = read.length;
  globalThis.gc?.();
  const before = process.memoryUsage().rss;
  for (let k = 20; k < HOUR_BLOCKS; k += 1) {
    send(block(k));
    if (k % BLOCKS_A_TURN === 0) await turn();
  }
  globalThis.gc?.();
  const grown_MB = (process.memoryUsage().rss - before) / 2 ** 20;
  client.resume();
  await sleep(3_000);
  const newest = N * (HOUR_BLOCKS - 1);
  const onReturn = read.slice(already);
  const first = onReturn[0] ?? newest;
  // What came before the jump to the newest second is old.
  const old = onReturn.filter((index) => index < newest - 2 * RATE_Hz);
  client.terminate();
  const seconds = (samples: number): number => samples / RATE_Hz;
  return { grown_MB, oldest_s: seconds(newest - first), toCatchUp_s: seconds(N * old.length) };
}

async function throughHub(): Promise<Unread> {
  const hub = createHub();
  const server = createHttpServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  serveLive(server, hub, { hosts: ['127.0.0.1'], port, isOpen: true }, OPEN_DOOR);
  const url = `ws://127.0.0.1:${port}/live`;
  const result = await anHour((each) => hub.sendBlock(each), url, true);
  hub.close('done');
  server.close();
  return result;
}

/** Every message queued for whoever is connected, as the library does when nobody looks after it. */
async function throughLibrary(): Promise<Unread> {
  const sockets = new WebSocketServer({ host: '127.0.0.1', port: 0, perMessageDeflate: false });
  await new Promise((resolve) => sockets.once('listening', resolve));
  const { port } = sockets.address() as AddressInfo;
  const send = (each: LiveBlockSource): void => {
    const message = encodeLiveBlock(each);
    for (const client of sockets.clients) client.send(message);
  };
  const result = await anHour(send, `ws://127.0.0.1:${port}/`, false);
  sockets.close();
  return result;
}

export async function unreadFigures(): Promise<Record<string, unknown>[]> {
  const hub = await throughHub();
  const library = await throughLibrary();
  return [
    {
      bench: 'P5 an hour unread',
      hub_grown_MB: hub.grown_MB,
      library_grown_MB: library.grown_MB,
      hub_oldToRead_s: hub.toCatchUp_s,
      library_oldToRead_s: library.toCatchUp_s,
    },
  ];
}
