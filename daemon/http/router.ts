/**
 * Finds the route of a request, runs it and writes its reply; trouble becomes a problem document in
 * words. Knows the shape of routes, not what they do.
 */
import type { IncomingMessage, ServerResponse } from 'node:http';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import type { Log } from '../log.ts';
import type { Station } from '../station.ts';
import { readJson } from './body.ts';
import { Problem } from './problem.ts';
import type { Download, Route } from './route.ts';

export interface Router {
  answer(url: URL, request: IncomingMessage, response: ServerResponse): Promise<void>;
}

interface Found {
  readonly route: Route;
  readonly path: Readonly<Record<string, string>>;
}

export function createRouter(routes: readonly Route[], station: Station, log: Log): Router {
  const matchers = routes.map((route) => ({ route, matches: matcherOf(route.url) }));

  const find = (method: string, pathname: string): Found => {
    const here = matchers.flatMap(({ route, matches }) => {
      const path = matches(pathname);
      return path ? [{ route, path }] : [];
    });
    if (here.length === 0) throw new Problem(404, 'There is nothing at this address.');
    const found = here.find(({ route }) => route.method === method);
    if (found) return found;
    const known = here.map(({ route }) => route.method).join(', ');
    throw new Problem(405, `This address answers to ${known}.`);
  };

  return {
    async answer(url, request, response) {
      try {
        const { route, path } = find(request.method ?? '', url.pathname);
        const body = route.method === 'GET' ? undefined : await readJson(request);
        const query = Object.fromEntries(url.searchParams);
        const answer = await route.answer(station, { path, query, body });
        response.setHeader('Cache-Control', 'no-store');
        if ('lines' in answer) await writeCsv(response, answer.lines);
        else if ('download' in answer) await writeFile(response, answer.download);
        else writeJson(response, route.reply.status, answer.json);
      } catch (error) {
        writeTrouble(response, error, log);
      }
    },
  };
}

/** The named parts of a path that fits the pattern, else null. A part that cannot be decoded fits none. */
function matcherOf(pattern: string): (pathname: string) => Record<string, string> | null {
  const names = pattern.split('/').map((part) => /^\{(\w+)\}$/.exec(part)?.[1]);
  const words = pattern.split('/');
  return (pathname) => {
    const parts = pathname.split('/');
    if (parts.length !== words.length) return null;
    const path: Record<string, string> = {};
    for (const [i, part] of parts.entries()) {
      const name = names[i];
      if (name === undefined && part !== words[i]) return null;
      if (name === undefined) continue;
      const text = decoded(part);
      if (text === null) return null;
      path[name] = text;
    }
    return path;
  };
}

function decoded(part: string): string | null {
  try {
    return decodeURIComponent(part);
  } catch {
    return null;
  }
}

function writeJson(response: ServerResponse, status: number, value: unknown): void {
  const text = JSON.stringify(value);
  const type = status < 400 ? 'application/json' : 'application/problem+json';
  const headers = { 'Content-Type': `${type}; charset=utf-8` };
  response.writeHead(status, { ...headers, 'Content-Length': Buffer.byteLength(text) }).end(text);
}

async function writeCsv(response: ServerResponse, lines: AsyncIterable<string>): Promise<void> {
  response.setHeader('Content-Type', 'text/csv; charset=utf-8; header=present');
  response.setHeader('Content-Disposition', 'attachment; filename="recording.csv"');
  await pipeline(Readable.from(lines), response);
}

/** A name that came through the route's checks; what a header cannot hold is left out of it. */
async function writeFile(response: ServerResponse, { name, content }: Download): Promise<void> {
  const plain = name.replaceAll(/[^\w.-]/g, '_');
  response.setHeader('Content-Type', 'application/octet-stream');
  response.setHeader('Content-Disposition', `attachment; filename="${plain}"`);
  await pipeline(content, response);
}

/** What the caller can act on is told; what only the house can mend is logged and told as 500. */
export function writeTrouble(response: ServerResponse, error: unknown, log: Log): void {
  if (response.destroyed) return;
  const isOurs = !(error instanceof Problem);
  if (isOurs) log('error', 'request failed', { reason: errorText(error) });
  if (response.headersSent) {
    response.destroy();
    return;
  }
  const problem = isOurs ? new Problem(500, 'This could not be done; the log says why.') : error;
  if (problem.status === 413 || problem.status === 408) response.setHeader('Connection', 'close');
  response.setHeader('Cache-Control', 'no-store');
  writeJson(response, problem.status, problem);
}

function errorText(error: unknown): string {
  return error instanceof Error ? (error.stack ?? error.message) : String(error);
}
