/**
 * The emulated device on a serial line. A line that is torn away is tried again until it is back;
 * what would have gone out meanwhile is lost, as with a real device.
 */
import { setTimeout as sleep } from 'node:timers/promises';
import { SerialPort } from 'serialport';
import { UsageError } from '../../cli/command.ts';
import { createAudience } from './audience.ts';
import type { Wire, WireKind } from './index.ts';

const DEFAULT_BAUD = 921_600;
const RETRY_MS = 200;

export const serial: WireKind = {
  id: 'serial',
  form: 'serial:/dev/pts/5?baud=921600&format=lines',
  async create(url, policy): Promise<Wire> {
    const path = url.target;
    const baudRate = Number(url.options['baud'] ?? DEFAULT_BAUD);
    if (path === '') throw new UsageError(`${url.text} names no device: serial:/dev/ttyUSB0`);
    if (!Number.isInteger(baudRate) || baudRate <= 0) {
      throw new UsageError(`baud ${url.options['baud'] ?? ''} cannot be used: give a whole number`);
    }
    const audience = createAudience(policy);
    let isWanted = true;

    /** Resolves once the line is open; opens it again by itself whenever it is lost. */
    const connect = async (): Promise<void> => {
      const port = await openPort(path, baudRate);
      const listener = {
        write: (bytes: Uint8Array) => void port.write(Buffer.from(bytes)),
        queuedBytes: () => port.writableLength,
        end: () => port.close(() => undefined),
      };
      port.on('error', () => port.close(() => undefined));
      port.on('close', () => {
        audience.remove(listener);
        port.destroy();
        void reconnect();
      });
      port.resume();
      audience.add(listener);
    };
    const reconnect = async (): Promise<void> => {
      while (isWanted) {
        await sleep(RETRY_MS);
        if (!isWanted) return;
        const isOpen = await connect().then(
          () => true,
          () => false,
        );
        if (isOpen) return;
      }
    };

    await connect().catch((error: unknown) => {
      const why = error instanceof Error ? error.message : String(error);
      throw new UsageError(`cannot open ${path}: ${why}`);
    });
    return {
      url: `serial:${path}?baud=${baudRate}`,
      counts: audience.counts,
      ready: () => audience.ready(),
      send: (bytes, announcement) => audience.send(bytes, announcement),
      shut() {
        isWanted = false;
        audience.endAll();
        return Promise.resolve();
      },
      async open() {
        isWanted = true;
        await connect().catch(() => reconnect());
      },
      async close() {
        isWanted = false;
        await audience.flush();
        audience.endAll();
      },
    };
  },
};

function openPort(path: string, baudRate: number): Promise<SerialPort> {
  return new Promise((resolve, reject) => {
    const port = new SerialPort({ path, baudRate, autoOpen: false });
    port.open((error) => (error ? reject(error) : resolve(port)));
  });
}
