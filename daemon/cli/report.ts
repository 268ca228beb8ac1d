/** `report`: the page of a report as PDF, printed by the installed Chromium from the very page of the app. */
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { resolve } from 'node:path';
import { findChromium, printPage } from '../browser.ts';
import { SECURITY_HEADERS } from '../http/headers.ts';
import { createStaticSite } from '../http/static.ts';
import { signalBytes } from '../http/routes/research.ts';
import { webFolder } from '../package.ts';
import { reportFacts } from '../pipeline/report-facts.ts';
import { parseArguments, UsageError, type Command } from './command.ts';
import { inDataFolder, type DataFolder } from './data-folder.ts';

/** The page says so itself: that it is there, or why it will not be. */
const READY =
  "document.querySelector('[data-report=ready]') !== null || " +
  "(document.querySelector('[data-report=none]')?.textContent.trim() ?? false)";
const PAPERS = ['a4', 'letter'];

export const reportCommand: Command = {
  name: 'report',
  about: 'One page of A4 or Letter on recordings, as PDF, through the installed Chromium.',
  usage: `
Usage: npm run -s momentarm -- report RECORDING... --out FILE.pdf [--data ./data] [--paper a4|letter]

RECORDING is the id of a recording, or of a session for all of its recordings; at most 12.
The page is the one at /research/report/ID of a running station; while a station runs on the folder,
print it from there. Chromium is looked for where systems put it, or named in MOMENTARM_CHROMIUM.

Exit status: 0 done; 2 no such recording, no Chromium, or the folder is in use.`,
  async run(args, io) {
    const { values, positionals } = parseArguments(args, {
      out: { type: 'string' },
      data: { type: 'string', default: './data' },
      paper: { type: 'string', default: 'a4' },
    });
    const { out, paper } = values;
    if (positionals.length === 0) throw new UsageError('no recording: give its id, or a session');
    if (out === undefined) throw new UsageError('--out is missing: give the PDF to write');
    if (!PAPERS.includes(paper))
      throw new UsageError(`--paper ${paper}: use ${PAPERS.join(' or ')}`);
    const chromium = findChromium();
    if (chromium === null) {
      throw new UsageError('no Chromium found: install it, or name one in MOMENTARM_CHROMIUM');
    }
    await inDataFolder(values.data, io, async (folder) => {
      await folder.catchUp();
      const address = positionals.join(',');
      if ((await reportFacts(folder, address)) === null) {
        throw new UsageError(`${positionals.join(' ')}: no such recording or session`);
      }
      await printed(folder, { address, paper, path: resolve(out), chromium });
    });
    io.out(out);
    return 0;
  },
};

interface Order {
  readonly address: string;
  readonly paper: string;
  readonly path: string;
  readonly chromium: string;
}

/** Serves the page to this computer alone, on a port that nobody knows, until it is printed. */
async function printed(
  folder: DataFolder,
  { address, paper, path, chromium }: Order,
): Promise<void> {
  const site = createStaticSite(webFolder());
  const server = createServer((request, response) => {
    void answered(folder, request, response)
      .then(async (isDone) => isDone || (await site.answer(pathOf(request), request, response)))
      .then((isDone) => isDone || response.writeHead(404).end())
      .catch(() => response.destroy());
  });
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  const { port } = server.address() as AddressInfo;
  const url = `http://127.0.0.1:${port}/research/report/${encodeURIComponent(address)}?paper=${paper}`;
  try {
    await printPage(chromium, { url, ready: READY, path });
  } catch (error) {
    const words = error instanceof Error ? (error.message.split('\n')[0] ?? '') : String(error);
    throw new UsageError(`${path}: ${words}`);
  } finally {
    server.close();
    server.closeAllConnections();
  }
}

function pathOf(request: IncomingMessage): string {
  return new URL(request.url ?? '/', 'http://localhost').pathname;
}

/** The two answers that the page of a report asks for. */
async function answered(
  folder: DataFolder,
  request: IncomingMessage,
  response: ServerResponse,
): Promise<boolean> {
  for (const [name, value] of Object.entries(SECURITY_HEADERS)) response.setHeader(name, value);
  const [, kind = '', id = ''] =
    /^\/api\/(reports|recordings)\/([^/]+)(?:\/signal)?$/.exec(pathOf(request)) ?? [];
  if (kind === '') return false;
  const asked = decodeURIComponent(id);
  const body =
    kind === 'reports'
      ? JSON.stringify(await reportFacts(folder, asked))
      : Buffer.from(signalBytes(folder.library, asked));
  response.end(body);
  return true;
}
