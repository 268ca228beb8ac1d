/** Speaks HTTP and WebSocket by hand, for requests that no well-behaved client would make. */
import { connect, type Socket } from 'node:net';

/** Sends the very text and gives all that comes back until the far end closes or `patience_ms`. */
export function rawRequest(port: number, text: string, patience_ms = 3_000): Promise<string> {
  return new Promise((resolve, reject) => {
    const socket = connect(port, '127.0.0.1', () => socket.write(text));
    const pieces: Buffer[] = [];
    const done = (): void => {
      clearTimeout(timer);
      socket.destroy();
      resolve(Buffer.concat(pieces).toString('latin1'));
    };
    const timer = setTimeout(done, patience_ms);
    socket.on('data', (piece) => pieces.push(piece));
    socket.on('end', done);
    socket.on('error', (error) => (pieces.length > 0 ? done() : reject(error)));
  });
}

/** A GET with these headers and no others; `Connection: close` is added. */
export function rawGet(port: number, target: string, headers: Record<string, string>) {
  const lines = Object.entries(headers).map(([name, value]) => `${name}: ${value}\r\n`);
  return rawRequest(port, `GET ${target} HTTP/1.1\r\n${lines.join('')}Connection: close\r\n\r\n`);
}

export function upgradeRequest(port: number, path: string, headers: Record<string, string> = {}) {
  const all = {
    Host: `127.0.0.1:${port}`,
    Upgrade: 'websocket',
    Connection: 'Upgrade',
    'Sec-WebSocket-Key': 'dGhlIHNhbXBsZSBub25jZQ==',
    'Sec-WebSocket-Version': '13',
    ...headers,
  };
  const lines = Object.entries(all).map(([name, value]) => `${name}: ${value}\r\n`);
  return `GET ${path} HTTP/1.1\r\n${lines.join('')}\r\n`;
}

/** A WebSocket that joined and from then on reads nothing and answers nothing. */
export function openDeafClient(port: number, path = '/live'): Promise<Socket> {
  return new Promise((resolve, reject) => {
    const socket = connect(port, '127.0.0.1', () => socket.write(upgradeRequest(port, path)));
    socket.once('error', reject);
    socket.once('data', (piece: Buffer) => {
      socket.pause();
      if (piece.toString('latin1').startsWith('HTTP/1.1 101')) resolve(socket);
      else reject(new Error(piece.toString('latin1')));
    });
  });
}
