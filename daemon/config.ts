/**
 * What the station is started with, and what it keeps between starts: `station.json` in the data
 * folder holds the last set-up, source and wiring. Anything unusable is told in one line.
 */
import { readFile } from 'node:fs/promises';
import { isIP } from 'node:net';
import { join, resolve } from 'node:path';
import * as v from 'valibot';
import type { Setup } from '../shared/wire/events.ts';
import { DEMO_SETUP, setupSchema } from '../shared/wire/setup.ts';
import type { Wiring } from '../shared/wiring/schema.ts';
import { parseWiring } from '../shared/wiring/wiring.ts';
import { openAccess } from './access/access.ts';
import { parseArguments, UsageError } from './cli/command.ts';
import { replaceFile } from './platform.ts';
import type { SourceUrl } from './sources/index.ts';
import { parseSourceUrl } from './sources/url.ts';

export interface ServeOptions {
  readonly port: number;
  readonly host: string;
  readonly dataFolder: string;
  readonly source: SourceUrl;
  readonly wiring: Wiring | null;
  /** Development: no token, pages of other ports of this machine, other machines. */
  readonly isOpen: boolean;
  readonly isJson: boolean;
}

const LOOPBACK = ['127.0.0.1', '::1', 'localhost'];

export async function parseServeOptions(args: readonly string[]): Promise<ServeOptions> {
  const { values, positionals } = parseArguments(args, {
    port: { type: 'string', default: '4870' },
    host: { type: 'string', default: '127.0.0.1' },
    data: { type: 'string', default: './data' },
    source: { type: 'string', default: 'demo:' },
    wiring: { type: 'string' },
    open: { type: 'boolean', default: false },
    json: { type: 'boolean', default: false },
  });
  const [surplus] = positionals;
  if (surplus !== undefined)
    throw new UsageError(`"${surplus}" is not an option; see serve --help`);
  const isLocal = LOOPBACK.includes(values.host);
  const dataFolder = resolve(values.data);
  if (!isLocal && !values.open && !openAccess(dataFolder).isClosed) {
    throw new UsageError(
      `--host ${values.host} lets anyone on the network in, without a password; ` +
        'make a tester’s code on the start page first, leave it out, or add --open if that is meant',
    );
  }
  return {
    port: parsePort(values.port),
    host: parseHost(values.host),
    dataFolder,
    source: parseSourceUrl(values.source),
    wiring: values.wiring === undefined ? null : await readWiring(values.wiring),
    isOpen: values.open,
    isJson: values.json,
  };
}

function parsePort(text: string): number {
  const port = Number(text);
  if (/^\d{1,5}$/.test(text) && port <= 65_535) return port;
  throw new UsageError(`--port ${text}: a port is a whole number from 0 to 65535`);
}

function parseHost(text: string): string {
  if (isIP(text) !== 0 || /^[a-z0-9]([a-z0-9.-]{0,251}[a-z0-9])?$/i.test(text)) return text;
  throw new UsageError(`--host ${text}: give an address or name of this machine, as 127.0.0.1`);
}

async function readWiring(path: string): Promise<Wiring> {
  const text = await readFile(path, 'utf8').catch((error: NodeJS.ErrnoException) => {
    const reason = error.code === 'ENOENT' ? 'there is no such file' : 'it cannot be read';
    throw new UsageError(`--wiring ${path}: ${reason}; see "Wiring file" in the README`);
  });
  const parsed = parseWiring(parseJson(text, path));
  if ('wiring' in parsed) return parsed.wiring;
  const [first = '', ...others] = parsed.problems;
  const more = others.length > 0 ? ` (and ${others.length} more)` : '';
  throw new UsageError(`--wiring ${path}: ${first}${more}`);
}

function parseJson(text: string, path: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    throw new UsageError(`--wiring ${path}: not valid JSON: ${reason}`);
  }
}

/** What a start finds from the last one. */
export interface Kept {
  readonly setup: Setup;
}

const keptSchema = v.object({ setup: setupSchema });

export interface Keeper {
  read(): Promise<Kept>;
  write(kept: Kept): Promise<void>;
}

/** A file that is absent, damaged or of another time gives the demo's set-up. */
export function createKeeper(dataFolder: string): Keeper {
  const path = join(dataFolder, 'station.json');
  return {
    async read() {
      try {
        return v.parse(keptSchema, JSON.parse(await readFile(path, 'utf8')));
      } catch {
        return { setup: DEMO_SETUP };
      }
    },
    write: (kept) => replaceFile(path, `${JSON.stringify(kept, null, 2)}\n`),
  };
}
