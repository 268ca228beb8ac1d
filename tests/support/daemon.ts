/**
 * Starts the real daemon for a test: the bundle of the present sources, on a free port, with a data
 * folder of its own. Builds the bundle once for all tests; stops with the test.
 */
import { type ChildProcess, execFile, spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { promisify } from 'node:util';
import * as v from 'valibot';
import { type Health, healthSchema } from '../../shared/wire/health.ts';

const ROOT = join(import.meta.dirname, '..', '..');
const CACHE = join(ROOT, 'node_modules', '.cache');
const START_PATIENCE_ms = 20_000;

export interface DaemonOptions {
  /** Beside --port 0 and --data; `serve` is added. */
  readonly args?: readonly string[];
  /** A temporary one, removed at the end, when left out. */
  readonly dataFolder?: string;
  readonly env?: Readonly<Record<string, string>>;
}

export interface RunningDaemon {
  readonly process: ChildProcess;
  /** Ends with a slash. */
  readonly url: string;
  readonly port: number;
  readonly dataFolder: string;
  /** Lines of both outputs so far. */
  readonly out: readonly string[];
  readonly err: readonly string[];
  health(): Promise<Health>;
  /** Asks until `isTrue` of the health; rejects with the last one after `patience_ms`. */
  until(isTrue: (health: Health) => boolean, patience_ms?: number): Promise<Health>;
  /** Resolves with the exit status and how long it took. */
  stop(signal?: NodeJS.Signals): Promise<{ code: number | null; took_ms: number }>;
}

export async function startDaemon(options: DaemonOptions = {}): Promise<RunningDaemon> {
  const isOwnFolder = options.dataFolder === undefined;
  const dataFolder = options.dataFolder ?? (await mkdtemp(join(tmpdir(), 'momentarm-data-')));
  const args = ['serve', '--port', '0', '--data', dataFolder, ...(options.args ?? [])];
  const child = spawn(process.execPath, [await bundledProgram(), ...args], {
    env: { ...process.env, ...options.env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const exited = new Promise<number | null>((resolve) => child.once('close', resolve));
  const out: string[] = [];
  const err: string[] = [];
  createInterface({ input: child.stderr }).on('line', (line) => err.push(line));
  const url = await new Promise<string>((resolve, reject) => {
    createInterface({ input: child.stdout }).on('line', (line) => {
      out.push(line);
      const ready = /^momentarm ready (http:\S+)$/.exec(line)?.[1];
      if (ready !== undefined) resolve(ready);
    });
    const fail = (why: string) => reject(new Error(`${why}: ${[...out, ...err].join('\n')}`));
    void exited.then((code) => fail(`the daemon ended with ${code}`));
    setTimeout(() => fail('the daemon does not get ready'), START_PATIENCE_ms).unref();
  });

  const health = async (): Promise<Health> =>
    v.parse(healthSchema, await (await fetch(`${url}api/health`)).json());
  return {
    process: child,
    url,
    port: Number(new URL(url).port),
    dataFolder,
    out,
    err,
    health,
    async until(isTrue, patience_ms = 5_000) {
      const end_ms = performance.now() + patience_ms;
      for (;;) {
        const now = await health();
        if (isTrue(now)) return now;
        if (performance.now() > end_ms) throw new Error(`still ${JSON.stringify(now)}`);
        await new Promise((resolve) => setTimeout(resolve, 20));
      }
    },
    async stop(signal = 'SIGTERM') {
      const from_ms = performance.now();
      child.kill(signal);
      const code = await exited;
      if (isOwnFolder) await rm(dataFolder, { recursive: true, force: true });
      return { code, took_ms: performance.now() - from_ms };
    },
  };
}

export interface ProgramResult {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs the program to its end. */
export async function runProgram(
  args: readonly string[],
  { cwd = ROOT, patience_ms = 60_000 } = {},
): Promise<ProgramResult> {
  const child = spawn(process.execPath, [await bundledProgram(), ...args], {
    cwd,
    timeout: patience_ms,
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let out = '';
  let err = '';
  child.stdout.on('data', (piece: Buffer) => (out += piece.toString()));
  child.stderr.on('data', (piece: Buffer) => (err += piece.toString()));
  const code = await new Promise<number | null>((resolve) => child.once('close', resolve));
  return { code, out, err };
}

let program: Promise<string> | null = null;

/** Path of the bundled program, made of the present sources when there is none yet. */
export function bundledProgram(): Promise<string> {
  program ??= bundle();
  return program;
}

async function bundle(): Promise<string> {
  const folder = join(CACHE, `daemon-${fingerprint()}`);
  if (!existsSync(folder)) {
    mkdirSync(CACHE, { recursive: true });
    for (const old of readdirSync(CACHE)) {
      const isOld = old.startsWith('daemon-') && age_ms(join(CACHE, old)) > 3_600_000;
      if (isOld) rmSync(join(CACHE, old), { recursive: true, force: true });
    }
    const fresh = `${folder}.${process.pid}`;
    const vite = join(ROOT, 'node_modules', 'vite', 'bin', 'vite.js');
    const args = [vite, 'build', '--config', 'vite.config.daemon.ts', '--logLevel', 'warn'];
    const env = { ...process.env, NODE_ENV: '', MOMENTARM_DAEMON_OUT: fresh };
    await promisify(execFile)(process.execPath, args, { cwd: ROOT, env });
    // Another test run may have been faster: its bundle is the same.
    if (existsSync(folder)) rmSync(fresh, { recursive: true, force: true });
    else renameSync(fresh, folder);
  }
  return join(folder, 'main.js');
}

function age_ms(path: string): number {
  return Date.now() - statSync(path).mtimeMs;
}

/** Changes when any source of the program does. */
function fingerprint(): string {
  const hash = createHash('sha256');
  const files = ['shared', 'daemon'].flatMap((folder) =>
    readdirSync(join(ROOT, folder), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => join(entry.parentPath, entry.name)),
  );
  for (const path of [...files, join(ROOT, 'vite.config.daemon.ts')].sort()) {
    const { size, mtimeMs } = statSync(path);
    hash.update(`${path} ${size} ${mtimeMs}\n`);
  }
  return hash.digest('hex').slice(0, 16);
}
