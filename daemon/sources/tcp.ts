/** A DAQ that serves its stream on a TCP port. */
import { connect } from 'node:net';
import { monotonic_ns } from '../clock.ts';
import type { Connection, Source, SourceSink } from './index.ts';
import { checkWireOptions, parseAddress, type Address } from './url-wire.ts';
import { addressTrouble } from './url-trouble.ts';

/** A host that is off answers nothing for minutes; a person waits this long at most. */
const CONNECT_TIMEOUT_ms = 3000;
const FORM = 'tcp://192.168.1.20:9000?format=packets';

export const tcp: Source = {
  id: 'tcp',
  form: FORM,
  about: 'a DAQ that serves its stream on a TCP port',
  check(url) {
    parseAddress(url, FORM);
    checkWireOptions(url, []);
  },
  open: (url, sink, signal) => openSocket(parseAddress(url, FORM), sink, signal),
};

function openSocket(
  { host, port }: Address,
  sink: SourceSink,
  signal: AbortSignal,
): Promise<Connection> {
  return new Promise((resolve, reject) => {
    const place = `${host}:${port}`;
    const socket = connect({ host, port, noDelay: true, keepAlive: true });
    const abort = (): void => void socket.destroy(new Error('stopped'));
    if (signal.aborted) abort();
    signal.addEventListener('abort', abort, { once: true });
    const timer = setTimeout(() => {
      socket.destroy(Object.assign(new Error(), { code: 'ETIMEDOUT' }));
    }, CONNECT_TIMEOUT_ms);
    let reason = `${place} closed the connection.`;
    socket.on('error', (error) => {
      reason = addressTrouble(error, place);
      reject(new Error(reason));
    });
    socket.on('data', (bytes: Uint8Array) => sink.bytes(bytes, monotonic_ns()));
    const closed = new Promise<string>((end) => {
      socket.on('close', () => {
        clearTimeout(timer);
        signal.removeEventListener('abort', abort);
        end(reason);
      });
    });
    socket.on('connect', () => {
      clearTimeout(timer);
      resolve({
        closed,
        async close() {
          socket.destroy();
          await closed;
        },
      });
    });
  });
}
