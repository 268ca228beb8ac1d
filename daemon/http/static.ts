/**
 * The built pages. A file is found by exact name in a listing of the folder: a path that is not in it
 * does not exist, so no spelling of `..` can leave the folder. Read again whenever a page is opened.
 */
import { readdir, readFile } from 'node:fs/promises';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { extname, join, relative, sep } from 'node:path';
import { crc32 } from 'node:zlib';

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.ico': 'image/x-icon',
  '.woff2': 'font/woff2',
  '.json': 'application/json; charset=utf-8',
  '.webmanifest': 'application/manifest+json',
  '.txt': 'text/plain; charset=utf-8',
};
/** Built files whose name holds their hash never change. */
const FOR_EVER = 'public, max-age=31536000, immutable';
const HASHED = /^\/assets\/.*-[\w-]{8}\.\w+$/;
/** Pages of the app: these and everything below them are answered by index.html. */
const PAGES = /^\/(?:$|(?:tester|subject|research)(?:\/|$))/;

export interface StaticSite {
  /** Answers when the path is a page or a file; false when it is neither. */
  answer(path: string, request: IncomingMessage, response: ServerResponse): Promise<boolean>;
}

export function createStaticSite(folder: string): StaticSite {
  let listing: Promise<ReadonlyMap<string, string>> | null = null;

  return {
    async answer(path, request, response) {
      const isPage = PAGES.test(path);
      if (isPage || !listing) listing = list(folder);
      const file = (await listing).get(isPage ? '/index.html' : path);
      if (file === undefined) return false;
      const bytes = await readFile(file);
      const etag = `"${bytes.length.toString(36)}-${crc32(bytes).toString(36)}"`;
      response.setHeader('Cache-Control', HASHED.test(path) ? FOR_EVER : 'no-cache');
      response.setHeader('ETag', etag);
      if (request.headers['if-none-match'] === etag) {
        response.writeHead(304).end();
        return true;
      }
      const type = TYPES[extname(file)] ?? 'application/octet-stream';
      response.writeHead(200, { 'Content-Type': type, 'Content-Length': bytes.length });
      response.end(request.method === 'HEAD' ? undefined : bytes);
      return true;
    },
  };
}

/** Paths as in a URL to paths on the disk; empty when there is no such folder. */
async function list(folder: string): Promise<ReadonlyMap<string, string>> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true }).catch(() => []);
  const files = entries.filter((entry) => entry.isFile());
  return new Map(
    files.map((entry) => {
      const path = join(entry.parentPath, entry.name);
      return [`/${relative(folder, path).split(sep).join('/')}`, path];
    }),
  );
}
