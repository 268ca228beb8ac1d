/**
 * A DAQ on a serial line. Its death is seen in three ways, because none is sure: the close event, an
 * error, and the path that vanishes or becomes another device. Every opening is a new port object.
 */
import type { SerialPort } from 'serialport';
import { monotonic_ns } from '../clock.ts';
import { findBaud, type TunableLine } from './detect.ts';
import type { Connection, Source, SourceSink, SourceUrl } from './index.ts';
import { watchPath } from './serial-path.ts';
import { serialTrouble } from './serial-trouble.ts';
import { checkBaud, checkWireOptions } from './url-wire.ts';

const FORM = 'serial:/dev/ttyUSB0?baud=921600&format=lines';

export const serial: Source = {
  id: 'serial',
  form: FORM,
  about: 'a DAQ on a serial line (COM3 on Windows); without baud its rate is found by listening',
  check(url) {
    checkWireOptions(url, ['baud']);
    checkBaud(url, FORM);
  },
  open: openSerial,
};

async function openSerial(
  url: SourceUrl,
  sink: SourceSink,
  signal: AbortSignal,
): Promise<Connection> {
  const path = url.target;
  const { baud } = url.options;
  // Loaded when it is needed: its many files are a tenth of the time to start.
  const serialport = await import('serialport');
  const port = new serialport.SerialPort({
    path,
    baudRate: Number(baud ?? 115_200),
    autoOpen: false,
  });
  await new Promise<void>((resolve, reject) => {
    port.open((error) => (error ? reject(new Error(serialTrouble(error, path))) : resolve()));
  });
  const connection = connectionOf(port, path, signal);
  if (baud === undefined) {
    const found = await findBaud(tunable(port), signal).catch(async (error: unknown) => {
      await connection.close();
      throw error;
    });
    sink.bytes(found.heard, monotonic_ns());
  }
  port.on('data', (bytes: Uint8Array) => sink.bytes(bytes, monotonic_ns()));
  return connection;
}

function connectionOf(port: SerialPort, path: string, signal: AbortSignal): Connection {
  let end: (reason: string) => void = () => undefined;
  const closed = new Promise<string>((resolve) => (end = resolve));
  const unwatch = watchPath(path, () => void close(`${path} is gone.`));
  const abort = (): void => void close('stopped');
  signal.addEventListener('abort', abort, { once: true });
  port.on('error', (error) => void close(serialTrouble(error, path)));
  port.on('close', (error: Error | null) => {
    void close(error ? serialTrouble(error, path) : `${path} was closed.`);
  });

  /** A port whose device is gone may never call back, so nobody waits for it. */
  function close(reason: string): Promise<void> {
    unwatch();
    signal.removeEventListener('abort', abort);
    // A read that is under way must not deliver after the end.
    port.removeAllListeners('data');
    if (port.isOpen) port.close(() => port.destroy());
    end(reason);
    return Promise.resolve();
  }
  if (signal.aborted) abort();
  return { closed, close: () => close('closed') };
}

function tunable(port: SerialPort): TunableLine {
  return {
    setBaud: (baudRate) =>
      new Promise((resolve, reject) => {
        port.update({ baudRate }, (error) => (error ? reject(error) : port.flush(() => resolve())));
      }),
    listen(take) {
      port.on('data', take);
      return () => port.off('data', take);
    },
  };
}
