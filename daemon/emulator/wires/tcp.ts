/** The emulated device as a TCP server: every client gets the same bytes from the moment it comes. */
import { createServer, type Server } from 'node:net';
import { createAudience } from './audience.ts';
import type { Wire, WireKind } from './index.ts';
import { hostAndPort, listen, stopListening } from './listen.ts';

export const tcp: WireKind = {
  id: 'tcp',
  form: 'tcp://127.0.0.1:9000?format=packets',
  async create(url, policy): Promise<Wire> {
    const { host, port } = hostAndPort(url);
    const audience = createAudience(policy);
    const server: Server = createServer({ noDelay: true }, (socket) => {
      const listener = {
        write: (bytes: Uint8Array) => void socket.write(bytes),
        queuedBytes: () => socket.writableLength,
        end: () => socket.destroy(),
      };
      audience.add(listener);
      // What a client sends is read and forgotten, so that its close is seen.
      socket.resume();
      socket.on('error', () => socket.destroy());
      socket.on('close', () => audience.remove(listener));
    });
    const bound = await listen(server, host, port);
    return {
      url: `tcp://${host}:${bound}`,
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
