/**
 * The far end of the fan-out bench: 50 blocks a second to every client, by one of three ways. Each
 * block carries the time at which it was handed over. Told by its parent when to say what it cost.
 */
import { createServer as createHttpServer } from 'node:http';
import { createServer, type Socket } from 'node:net';
import { type WebSocket, WebSocketServer } from 'ws';
import { OPEN_DOOR } from '../../../daemon/access/door.ts';
import { serveLive } from '../../../daemon/http/live.ts';
import { blockFrame } from '../../../daemon/sinks/hub-frame.ts';
import { createHub } from '../../../daemon/sinks/hub.ts';
import { encodeLiveBlock, type LiveBlockSource } from '../../../shared/wire/block-codec.ts';

export const BLOCKS_PER_s = 50;
const N = 20;
const N_COLUMNS = 5;

/** `tcpAsked`: raw TCP whose clients are asked for a sign of life as the hub asks its own. */
export type Way = 'tcp' | 'tcpAsked' | 'hub' | 'library';

const columns = Array.from({ length: N_COLUMNS }, () => Float64Array.from({ length: N }, Math.sin));
let k = 0;

function nextBlock(): LiveBlockSource {
  k += 1;
  const arrival_ms = Number(process.hrtime.bigint()) / 1e6;
  return { index: N * k, n: N, rate_Hz: 1000, arrival_ms, afterGap: false, columns };
}

/** Gives the function that sends one block to all, and the port. */
const WAYS: Readonly<Record<Way, () => Promise<{ send: () => void; port: number }>>> = {
  tcp: () => overTcp(false),
  tcpAsked: () => overTcp(true),
  async hub() {
    const hub = createHub();
    const server = createHttpServer();
    const port = await listening(server);
    serveLive(server, hub, { hosts: ['127.0.0.1'], port, isOpen: true }, OPEN_DOOR);
    return { send: () => hub.sendBlock(nextBlock()), port };
  },
  async library() {
    const clients = new Set<WebSocket>();
    const server = createHttpServer();
    const sockets = new WebSocketServer({ server, perMessageDeflate: false });
    sockets.on('connection', (client) => {
      clients.add(client);
      client.on('close', () => clients.delete(client)).on('error', () => client.terminate());
    });
    const send = (): void => {
      const message = encodeLiveBlock(nextBlock());
      for (const client of clients) client.send(message);
    };
    return { send, port: await listening(server) };
  },
};

async function overTcp(isAsking: boolean) {
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    socket.setNoDelay(true).on('error', () => socket.destroy());
    socket.on('close', () => sockets.delete(socket)).resume();
    sockets.add(socket);
  });
  const send = (): void => {
    const frame = blockFrame(nextBlock());
    for (const socket of sockets) socket.write(frame);
  };
  if (isAsking) askInTurn(sockets);
  return { send, port: await listening(server) };
}

/** The hub's own pace. */
function askInTurn(sockets: ReadonlySet<Socket>): void {
  const question = Buffer.from([0x89, 0]);
  let round: Socket[] = [];
  setInterval(() => {
    if (round.length === 0) round = [...sockets];
    for (const socket of round.splice(0, 10)) socket.write(question);
  }, 450);
}

function listening(server: ReturnType<typeof createServer>): Promise<number> {
  return new Promise((resolve) => {
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      resolve(typeof address === 'object' && address ? address.port : 0);
    });
  });
}

/** Runs in the process that the bench forked for it. */
export async function serveWay(way: Way): Promise<void> {
  const { send, port } = await WAYS[way]();
  setInterval(send, 1000 / BLOCKS_PER_s);
  process.on('message', () => {
    const { user, system } = process.cpuUsage();
    process.send?.({ cpu_us: user + system, user_us: user });
  });
  process.on('disconnect', () => process.exit());
  process.send?.({ port });
}
