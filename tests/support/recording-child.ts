/** Starts the recording process, alone or under a tracer that makes the system calls fail. */
import { spawn, spawnSync, type ChildProcess } from 'node:child_process';
import { join } from 'node:path';
import { parseStop, type StopDocument } from '../../shared/record/documents.ts';

const ROOT = join(import.meta.dirname, '..', '..');
const TSX = join(ROOT, 'node_modules', 'tsx', 'dist', 'loader.mjs');

export interface RecordingChild {
  readonly process: ChildProcess;
  /** Resolves with all lines that it printed when it has ended. */
  readonly lines: Promise<readonly string[]>;
  readonly ready: Promise<void>;
}

export function startRecording(
  data: string,
  id: string,
  seconds: number,
  tracer: readonly string[] = [],
): RecordingChild {
  const script = join(import.meta.dirname, 'recording-process.ts');
  const node = [process.execPath, '--import', TSX, script, data, id, String(seconds)];
  const [command = '', ...args] = [...tracer, ...node];
  // A tracer counts calls by thread; with one thread for files the k-th call is the k-th call.
  const env = tracer.length > 0 ? { ...process.env, UV_THREADPOOL_SIZE: '1' } : process.env;
  const child = spawn(command, args, { cwd: ROOT, env, stdio: ['ignore', 'pipe', 'inherit'] });
  let text = '';
  let isReady: () => void = () => undefined;
  const ready = new Promise<void>((resolve) => {
    isReady = resolve;
  });
  child.stdout.on('data', (bytes: Buffer) => {
    text += bytes.toString();
    if (text.includes('\n')) isReady();
  });
  const lines = new Promise<readonly string[]>((resolve) => {
    child.on('close', () => resolve(text.split('\n')));
  });
  return { process: child, lines, ready };
}

export interface Said {
  readonly acknowledged: number;
  readonly received: number;
  readonly faults: readonly string[];
  /** The longest time the process was kept from running; 0 when it did not get to tell. */
  readonly pause_ms: number;
  readonly stop: StopDocument | null;
}

/** A line that was cut by the end of the process does not count. */
export function said(lines: readonly string[]): Said {
  const whole = lines.slice(0, -1);
  const last = whole.findLast((line) => line.startsWith('ack '))?.split(' ') ?? [];
  const pause = whole.find((line) => line.startsWith('pause '));
  const stopLine = whole.find((line) => line.startsWith('stop '));
  const stop = stopLine === undefined ? null : parseStop(JSON.parse(stopLine.slice(5)));
  return {
    acknowledged: Number(last[1] ?? 0),
    received: Number(last[2] ?? 0),
    faults: whole.filter((line) => line.startsWith('fault ') || line.startsWith('refused ')),
    pause_ms: Number(pause?.slice('pause '.length) ?? 0),
    stop: stop !== null && 'value' in stop ? stop.value : null,
  };
}

/** Arguments of a tracer that injects into system calls; null, and said, where there is none. */
export function tracing(...injections: string[]): string[] | null {
  if (spawnSync('strace', ['-V']).status === 0) {
    const calls = [...new Set(injections.map((text) => text.split(':')[0] ?? ''))].join(',');
    const inject = injections.flatMap((text) => ['-e', `inject=${text}`]);
    return ['strace', '-f', '-qq', '-o', '/dev/null', '-e', `trace=${calls}`, ...inject];
  }
  return notRun('strace is not installed');
}

/** In CI nothing may be left out; elsewhere it is said and left. */
export function notRun(why: string): null {
  if (process.env['CI'] === 'true') throw new Error(why);
  process.stderr.write(`not run: ${why}\n`);
  return null;
}

export function isRoot(): boolean {
  return process.getuid?.() === 0;
}
