/**
 * P10: from the start of the process to the first live block at a client, beside a bare node that does
 * nothing and one that only listens. The daemon is the bundle that `npm start` runs. Rounds in turn.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { bundledProgram } from '../support/daemon.ts';
import { upgradeRequest } from '../support/raw-http.ts';

const ROUNDS = 11;
const LISTEN = `require('node:http').createServer().listen(0, () => console.log('ready'))`;

function median(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[values.length >> 1] ?? NaN;
}

/** Milliseconds from spawning to what `isDone` waits for; the process is ended afterwards. */
async function timed(
  args: readonly string[],
  done: (child: ChildProcess) => Promise<unknown>,
): Promise<number> {
  const from_ms = performance.now();
  const child = spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'ignore'] });
  const ended = new Promise((resolve) => child.once('close', resolve));
  await done(child);
  const took_ms = performance.now() - from_ms;
  child.kill();
  await ended;
  return took_ms;
}

const exit = (child: ChildProcess) => new Promise((resolve) => child.once('exit', resolve));

const firstLine = (child: ChildProcess): Promise<string> =>
  new Promise((resolve) => {
    let text = '';
    child.stdout?.on('data', (piece: Buffer) => {
      text += piece.toString();
      if (text.includes('\n')) resolve(text);
    });
  });

/** The ready line, then a raw WebSocket until its first binary frame. */
async function firstBlock(child: ChildProcess): Promise<void> {
  const port = Number(/:(\d+)\/\s/.exec(await firstLine(child))?.[1]);
  await new Promise<void>((resolve, reject) => {
    const socket = connect(port, '127.0.0.1', () => socket.write(upgradeRequest(port, '/live')));
    socket.once('error', reject);
    let before = Buffer.alloc(0);
    socket.on('data', (piece: Buffer) => {
      before = Buffer.concat([before, piece]);
      if (!hasBlock(before)) return;
      socket.destroy();
      resolve();
    });
  });
}

/** True when a whole header of a binary frame is among the bytes after the handshake. */
function hasBlock(bytes: Buffer): boolean {
  let at = bytes.indexOf('\r\n\r\n') + 4;
  while (at >= 4 && at + 4 <= bytes.length) {
    if (bytes[at] === 0x82) return true;
    const short = bytes[at + 1] ?? 0;
    at += short < 126 ? 2 + short : 4 + bytes.readUInt16BE(at + 2);
  }
  return false;
}

const program = await bundledProgram();
const folder = mkdtempSync(join(tmpdir(), 'momentarm-start-'));
const serve = [program, 'serve', '--port', '0', '--data', folder];
const rounds: { bare: number; listening: number; ready: number; live: number }[] = [];
for (let round = 0; round < ROUNDS; round += 1) {
  rounds.push({
    bare: await timed(['-e', ''], exit),
    listening: await timed(['-e', LISTEN], firstLine),
    ready: await timed(serve, firstLine),
    live: await timed(serve, firstBlock),
  });
}
rmSync(folder, { recursive: true, force: true });
const of = (pick: (round: (typeof rounds)[number]) => number) =>
  Number(median(rounds.map(pick)).toPrecision(3));
process.stdout.write(
  `${JSON.stringify({
    bench: 'P10 start to first live block',
    bareNode_ms: of(({ bare }) => bare),
    listeningNode_ms: of(({ listening }) => listening),
    ready_ms: of(({ ready }) => ready),
    firstBlock_ms: of(({ live }) => live),
    readyToBareNode: of(({ ready, bare }) => ready / bare),
    firstBlockToBareNode: of(({ live, bare }) => live / bare),
  })}\n`,
);
