/** Many clients in one process: as cheap as can be, they answer pings and time every block of a few. */
import { connect, type Socket } from 'node:net';
import { upgradeRequest } from '../../support/raw-http.ts';
import type { Way } from './server.ts';

/** Timing each block of each client would measure this process instead. */
const MOST_TIMED = 10;
const BLOCK_PLACE = 24;

let latencies_ms: number[] = [];

function open(way: Way, port: number, isTimed: boolean): Promise<Socket> {
  const isRaw = way === 'tcp' || way === 'tcpAsked';
  return new Promise((resolve, reject) => {
    const socket = connect(port, '127.0.0.1', () => {
      if (!isRaw) socket.write(upgradeRequest(port, '/live'));
      else {
        read(socket, isTimed);
        resolve(socket);
      }
    });
    socket.setNoDelay(true).once('error', reject);
    if (isRaw) return;
    socket.once('data', () => {
      read(socket, isTimed);
      resolve(socket);
    });
  });
}

/** Frames of this bench are short and come whole; anything else would show as an absurd latency. */
function read(socket: Socket, isTimed: boolean): void {
  socket.on('data', (piece: Buffer) => {
    let at = 0;
    while (at + 2 <= piece.length) {
      const kind = piece[at];
      const short = piece[at + 1] ?? 0;
      const start = at + (short < 126 ? 2 : 4);
      const length = short < 126 ? short : piece.readUInt16BE(at + 2);
      if (kind === 0x89) socket.write(Buffer.from([0x8a, 0x80, 0, 0, 0, 0]));
      if (kind === 0x82 && isTimed && piece.length >= start + length) {
        const sent_ms = piece.readDoubleLE(start + BLOCK_PLACE);
        latencies_ms.push(Number(process.hrtime.bigint()) / 1e6 - sent_ms);
      }
      at = start + length;
    }
  });
}

/** Runs in the process that the bench forked for it. */
export async function runClients(way: Way, port: number, count: number): Promise<void> {
  for (let i = 0; i < count; i += 1) await open(way, port, i < MOST_TIMED);
  process.on('message', () => {
    process.send?.({ latencies_ms });
    latencies_ms = [];
  });
  process.on('disconnect', () => process.exit());
  process.send?.({ ready: true });
}
