/** Runs `emulate` inside the test: waits for its line, and gives what it printed at the end. */
import { connect } from 'node:net';
import { emulateCommand } from '../../daemon/cli/emulate.ts';
import type { RunReport } from '../../daemon/emulator/run.ts';

export interface Emulation {
  /** The URL with the real port, once it is there. */
  readonly url: Promise<string>;
  /** The document of `--json`. */
  readonly done: Promise<EmulateDocument>;
}

export interface EmulateDocument extends RunReport {
  readonly url: string;
  readonly connections: number;
  readonly bytes: number;
  readonly overrunBytes: number;
}

export function startEmulation(args: readonly string[]): Emulation {
  let tellUrl: (url: string) => void = () => undefined;
  const url = new Promise<string>((resolve) => (tellUrl = resolve));
  const out: string[] = [];
  const done = emulateCommand
    .run([...args, '--json'], {
      out: (line) => void out.push(line),
      err: (line) => tellUrl(/on (\S+)$/.exec(line)?.[1] ?? line),
    })
    .then((code) => {
      if (code !== 0) throw new Error(`emulate ended with ${code}`);
      return JSON.parse(out.join('\n')) as EmulateDocument;
    });
  return { url, done };
}

/** All bytes of a TCP server until it closes. */
export function readTcp(url: string): Promise<Uint8Array> {
  const { hostname, port } = new URL(url);
  return new Promise((resolve, reject) => {
    const pieces: Buffer[] = [];
    const socket = connect({ host: hostname, port: Number(port) });
    socket.on('data', (piece: Buffer) => pieces.push(piece));
    socket.on('error', reject);
    socket.on('close', () => resolve(Buffer.concat(pieces)));
  });
}
