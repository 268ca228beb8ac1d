/**
 * The HTTP server: limits first, then who may speak, then the API, then the pages. Every limit that
 * keeps one bad client from the others stands at the top.
 */
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Door } from '../access/door.ts';
import type { Log } from '../log.ts';
import { type GuardOptions, refusal } from './guard.ts';
import { SECURITY_HEADERS } from './headers.ts';
import { Problem } from './problem.ts';
import { type Router, writeTrouble } from './router.ts';
import type { StaticSite } from './static.ts';

/** More than all pages of a laboratory; a flood beyond it is dropped at once. */
const MOST_CONNECTIONS = 600;
/** A request that trickles in is given up after these. */
const HEADERS_ms = 5_000;
const REQUEST_ms = 10_000;
const CHECK_EVERY_ms = 500;
/** An idle connection of a browser is kept this long. */
const KEEP_ALIVE_ms = 5_000;
const MOST_HEADER_bytes = 16 * 1024;
const MOST_URL_LENGTH = 2048;

/** What the parser found, as a status. */
const CLIENT_ERRORS: Readonly<Record<string, string>> = {
  ERR_HTTP_REQUEST_TIMEOUT: '408 Request Timeout',
  HPE_HEADER_OVERFLOW: '431 Request Header Fields Too Large',
};

export interface HttpOptions {
  readonly host: string;
  readonly port: number;
  readonly guard: Omit<GuardOptions, 'port'>;
  readonly door: Door;
  readonly router: Router;
  readonly site: StaticSite;
  readonly log: Log;
}

/** Listening; rejects with the system's error when the port or the host cannot be had. */
export async function listen(options: HttpOptions): Promise<{ server: Server; port: number }> {
  let port = options.port;
  const server = createServer(
    {
      headersTimeout: HEADERS_ms,
      requestTimeout: REQUEST_ms,
      connectionsCheckingInterval: CHECK_EVERY_ms,
      keepAliveTimeout: KEEP_ALIVE_ms,
      maxHeaderSize: MOST_HEADER_bytes,
    },
    (request, response) => {
      void answer(request, response, { ...options, port });
    },
  );
  server.maxConnections = MOST_CONNECTIONS;
  server.on('clientError', (error: NodeJS.ErrnoException, socket) => {
    const status = CLIENT_ERRORS[error.code ?? ''] ?? '400 Bad Request';
    if (!socket.writable) socket.destroy();
    // Closed from our side as well: the other end may never close its own.
    else socket.end(`HTTP/1.1 ${status}\r\nConnection: close\r\n\r\n`, () => socket.destroy());
  });
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen(options.port, options.host, () => {
      server.off('error', reject);
      resolve();
    });
  });
  port = (server.address() as AddressInfo).port;
  return { server, port };
}

async function answer(
  request: IncomingMessage,
  response: ServerResponse,
  { guard, port, door, router, site, log }: HttpOptions,
): Promise<void> {
  try {
    for (const [name, value] of Object.entries(SECURITY_HEADERS)) response.setHeader(name, value);
    const trouble = refusal(request.headers, { ...guard, port });
    if (trouble !== null) throw new Problem(403, trouble);
    const url = parseTarget(request.url ?? '');
    if (url.pathname.startsWith('/api/')) {
      const shut = door.refusal(request, url.pathname, 'request');
      if (shut) throw new Problem(shut.status, shut.words);
      await router.answer(url, request, response);
      return;
    }
    if (request.method !== 'GET' && request.method !== 'HEAD') {
      throw new Problem(405, 'Pages answer to GET, HEAD.');
    }
    if (await site.answer(url.pathname, request, response)) return;
    throw new Problem(404, 'There is nothing at this address.');
  } catch (error) {
    writeTrouble(response, error, log);
  }
}

/** Only the plain form of a request target is taken. */
function parseTarget(target: string): URL {
  if (target.length > MOST_URL_LENGTH) throw new Problem(414, 'The address is too long.');
  if (!target.startsWith('/')) throw new Problem(400, 'The address must begin with a slash.');
  try {
    return new URL(`http://station${target.replace(/^\/+/, '/')}`);
  } catch {
    throw new Problem(400, 'The address cannot be read.');
  }
}
