/**
 * The upgrade to `/live` and `/live/subject`: the same guard as every request, then the socket joins
 * the hub. The library reads; the hub's ready frames are written to the socket between its own.
 */
import type { IncomingMessage, Server } from 'node:http';
import { Socket } from 'node:net';
import type { Duplex } from 'node:stream';
import * as v from 'valibot';
import { type RawData, WebSocket, WebSocketServer } from 'ws';
import { monotonic_ns } from '../clock.ts';
import type { Door } from '../access/door.ts';
import type { Hub } from '../sinks/hub.ts';
import type { HubClient, Peer } from '../sinks/hub-client.ts';
import { type GuardOptions, refusal } from './guard.ts';

/** A client has nothing longer to say than an acknowledgement. */
const MOST_MESSAGE_bytes = 64 * 1024;
/** Acknowledgements come once a block or once a frame of the screen; ten times that is an attack. */
const MOST_MESSAGES_PER_s = 1_000;
/** Notices a peer that vanished without a word. */
const KEEP_ALIVE_ms = 30_000;
const { OPEN } = WebSocket;
const POLICY_VIOLATION = 1008;
const TRY_AGAIN_LATER = 1013;

const messageSchema = v.object({ ack: v.pipe(v.number(), v.finite()) });

export function serveLive(server: Server, hub: Hub, guard: GuardOptions, door: Door): void {
  const sockets = new WebSocketServer({
    noServer: true,
    perMessageDeflate: false,
    maxPayload: MOST_MESSAGE_bytes,
    clientTracking: false,
  });
  server.on('upgrade', (request: IncomingMessage, socket: Duplex, head: Buffer) => {
    socket.on('error', () => socket.destroy());
    const [path = ''] = (request.url ?? '').split('?', 1);
    if (refusal(request.headers, guard) !== null) return refuse(socket, '403 Forbidden');
    if (path !== '/live' && path !== '/live/subject') return refuse(socket, '404 Not Found');
    const shut = door.refusal(request, path, 'socket');
    if (shut) return refuse(socket, shut.status === 401 ? '401 Unauthorized' : '403 Forbidden');
    sockets.handleUpgrade(request, socket, head, (webSocket) => {
      if (socket instanceof Socket) {
        socket.setKeepAlive(true, KEEP_ALIVE_ms);
        socket.setNoDelay(true);
      }
      const peer = new SocketPeer(webSocket, socket);
      const forget = door.watch(request, path, () => {
        webSocket.close(POLICY_VIOLATION, 'its code was revoked');
      });
      webSocket.on('close', forget);
      const client = path === '/live' ? hub.joinStation(peer) : hub.joinSubject(peer);
      if (client) attend(webSocket, socket, client, () => hub.leave(client));
      else webSocket.close(TRY_AGAIN_LATER, 'as many clients as can be served');
    });
  });
}

function refuse(socket: Duplex, status: string): void {
  socket.end(`HTTP/1.1 ${status}\r\nConnection: close\r\nContent-Length: 0\r\n\r\n`);
}

/** Whole frames only are written here, and the library writes whole frames too: they never mix. */
class SocketPeer implements Peer {
  #webSocket: WebSocket;
  #socket: Duplex;

  constructor(webSocket: WebSocket, socket: Duplex) {
    this.#webSocket = webSocket;
    this.#socket = socket;
  }

  write(frame: Buffer): void {
    if (this.#webSocket.readyState === OPEN) this.#socket.write(frame);
  }

  buffered_bytes(): number {
    return this.#socket.writableLength;
  }

  ping(): void {
    if (this.#webSocket.readyState === OPEN) this.#webSocket.ping();
  }

  close(code: number, reason: string): void {
    this.#webSocket.close(code, reason);
  }
}

function attend(webSocket: WebSocket, socket: Duplex, client: HubClient, leave: () => void): void {
  let windowStart_ns = monotonic_ns();
  let nMessages = 0;
  const isFlooding = (): boolean => {
    const now_ns = monotonic_ns();
    if (now_ns - windowStart_ns > 1e9) {
      windowStart_ns = now_ns;
      nMessages = 0;
    }
    nMessages += 1;
    return nMessages > MOST_MESSAGES_PER_s;
  };
  webSocket.on('message', (data, isBinary) => {
    const index = isBinary ? null : acknowledged(data);
    if (index === null || isFlooding()) {
      webSocket.close(POLICY_VIOLATION, 'only {"ack": index} is understood, and not so often');
    } else client.acknowledge(index);
  });
  webSocket.on('pong', () => client.ponged());
  socket.on('drain', () => client.drained());
  // The library closes the socket by itself after a message that breaks the protocol.
  webSocket.on('error', leave);
  webSocket.on('close', leave);
}

function acknowledged(data: RawData): number | null {
  if (!Buffer.isBuffer(data)) return null;
  try {
    const parsed = v.safeParse(messageSchema, JSON.parse(data.toString('utf8')));
    return parsed.success ? parsed.output.ack : null;
  } catch {
    return null;
  }
}
