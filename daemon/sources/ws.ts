/** A DAQ that serves its stream on a WebSocket, as binary or text messages. */
import { WebSocket } from 'ws';
import { monotonic_ns } from '../clock.ts';
import type { Connection, Source, SourceSink, SourceUrl } from './index.ts';
import { addressTrouble } from './url-trouble.ts';
import { checkWireOptions, parseAddress, WIRE_OPTIONS } from './url-wire.ts';

/** A host that is off answers nothing for minutes; a person waits this long at most. */
const CONNECT_TIMEOUT_ms = 3000;
/** Seconds of the fastest stream; a longer message is no stream. */
const MAX_MESSAGE_BYTES = 1 << 20;
const FORM = 'ws://192.168.1.20:81/stream?format=lines';
const NEWLINE = Uint8Array.of(0x0a);

export const ws: Source = {
  id: 'ws',
  form: FORM,
  about: 'a DAQ that serves its stream on a WebSocket; options that are not ours go to it',
  check(url) {
    parseAddress(url, FORM);
    checkWireOptions(url, Object.keys(url.options));
  },
  open: (url, sink, signal) => openSocket(url, sink, signal),
};

function openSocket(url: SourceUrl, sink: SourceSink, signal: AbortSignal): Promise<Connection> {
  return new Promise((resolve, reject) => {
    const { host, port } = parseAddress(url, FORM);
    const place = `${host}:${port}`;
    const socket = new WebSocket(addressOf(url), {
      perMessageDeflate: false,
      maxPayload: MAX_MESSAGE_BYTES,
      handshakeTimeout: CONNECT_TIMEOUT_ms,
    });
    const abort = (): void => socket.terminate();
    if (signal.aborted) abort();
    signal.addEventListener('abort', abort, { once: true });
    let reason = `${place} closed the connection.`;
    socket.on('error', (error) => {
      reason = socketTrouble(error, place);
      reject(new Error(reason));
    });
    socket.on('message', messageReader(sink));
    const closed = new Promise<string>((end) => {
      socket.on('close', () => {
        signal.removeEventListener('abort', abort);
        end(reason);
      });
    });
    socket.on('open', () =>
      resolve({
        closed,
        async close() {
          socket.terminate();
          await closed;
        },
      }),
    );
  });
}

/** The address without our own options. */
function addressOf({ id, target, options }: SourceUrl): string {
  const theirs = Object.entries(options).filter(([name]) => !WIRE_OPTIONS.includes(name));
  const query = new URLSearchParams(theirs).toString();
  return `${id}://${target}${query === '' ? '' : `?${query}`}`;
}

function socketTrouble(error: Error, place: string): string {
  const [, status] = /Unexpected server response: (\d+)/.exec(error.message) ?? [];
  if (status !== undefined) return `${place} answers ${status} and no WebSocket: check the path.`;
  if (error.message.includes('handshake has timed out')) return `${place} does not answer.`;
  return addressTrouble(error, place);
}

/**
 * A text message without any line end is one line, as many small devices send them; as soon as one
 * has a line end, messages are pieces of a stream and nothing is added.
 */
function messageReader(sink: SourceSink): (data: unknown, isBinary: boolean) => void {
  let isStream = false;
  return (data, isBinary) => {
    if (!(data instanceof Uint8Array)) return;
    const arrival_ns = monotonic_ns();
    sink.bytes(data, arrival_ns);
    isStream ||= isBinary || data.includes(0x0a);
    if (!isStream) sink.bytes(NEWLINE, arrival_ns);
  };
}
