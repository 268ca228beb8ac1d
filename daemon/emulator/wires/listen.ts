/** Opening and closing a port, shared by the wires that listen. */
import type { Server } from 'node:net';
import { UsageError } from '../../cli/command.ts';
import type { WireUrl } from './index.ts';

export interface Place {
  readonly host: string;
  readonly port: number;
  readonly path: string;
}

/** `127.0.0.1:9000/stream`; port 0 takes a free one. Throws a UsageError when it is none. */
export function hostAndPort({ target, text }: WireUrl): Place {
  const [, host, digits = '', path = '/'] = /^([^:/]+|\[[^\]]+\]):(\d+)(\/.*)?$/.exec(target) ?? [];
  const port = Number(digits);
  if (host === undefined || port > 65_535) {
    throw new UsageError(`${text} has no address: write it like 127.0.0.1:9000`);
  }
  return { host, port, path };
}

/** Gives the real port. */
export function listen(server: Server, host: string, port: number): Promise<number> {
  return new Promise((resolve, reject) => {
    const fail = (error: Error) =>
      reject(new UsageError(`cannot listen on ${host}:${port}: ${error.message}`));
    server.once('error', fail);
    server.listen(port, host.replace(/^\[|\]$/g, ''), () => {
      server.off('error', fail);
      const address = server.address();
      resolve(typeof address === 'object' && address !== null ? address.port : port);
    });
  });
}

export function stopListening(server: Server): Promise<void> {
  return new Promise((resolve) => {
    server.close(() => resolve());
  });
}
