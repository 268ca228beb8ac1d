/** The emulated device as a WebSocket server: binary messages, each of whole frames. */
import { createServer, type Server } from 'node:http';
import { WebSocketServer } from 'ws';
import { createAudience } from './audience.ts';
import type { Wire, WireKind } from './index.ts';
import { hostAndPort, listen, stopListening } from './listen.ts';

/** Nobody has anything to say to the device. */
const MOST_INCOMING_BYTES = 1024;

export const ws: WireKind = {
  id: 'ws',
  form: 'ws://127.0.0.1:9001/stream?format=packets',
  async create(url, policy): Promise<Wire> {
    const { host, port, path } = hostAndPort(url);
    const audience = createAudience(policy);
    const server: Server = createServer((_, response) => {
      response.writeHead(426, { 'content-type': 'text/plain' });
      response.end('This is a WebSocket.\n');
    });
    const sockets = new WebSocketServer({
      server,
      path,
      perMessageDeflate: false,
      maxPayload: MOST_INCOMING_BYTES,
    });
    sockets.on('connection', (socket) => {
      const listener = {
        write: (bytes: Uint8Array) => socket.send(bytes),
        queuedBytes: () => socket.bufferedAmount,
        end: () => socket.terminate(),
      };
      audience.add(listener);
      socket.on('error', () => socket.terminate());
      socket.on('close', () => audience.remove(listener));
    });
    // Errors of the HTTP server arrive here too; `listen` has told them already.
    sockets.on('error', () => undefined);
    const bound = await listen(server, host, port);
    return {
      url: `ws://${host}:${bound}${path}`,
      counts: audience.counts,
      ready: () => audience.ready(),
      send: (bytes, announcement) => audience.send(bytes, announcement),
      async shut() {
        audience.endAll();
        await stopListening(server);
      },
      async open() {
        await listen(server, host, bound);
      },
      async close() {
        await audience.flush();
        audience.endAll();
        await stopListening(server);
      },
    };
  },
};
