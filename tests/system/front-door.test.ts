/** `npm start` as a user runs it: it says where it is, and a signal to npm ends all of it. */
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';

const ROOT = join(import.meta.dirname, '..', '..');
let data: string;
beforeEach(() => {
  data = mkdtempSync(join(tmpdir(), 'momentarm-front-door-'));
});
afterEach(() => rmSync(data, { recursive: true, force: true }));

test('a signal to npm reaches the station, which closes', async () => {
  const npm = spawn('npm', ['start', '--', '--port', '0', '--data', data], { cwd: ROOT });
  let said = '';
  npm.stdout.on('data', (piece: Buffer) => (said += piece.toString()));
  const address = () => /momentarm ready (http:\S+)/.exec(said)?.[1];
  await expect.poll(address, { timeout: 100_000 }).toBeDefined();
  const health = async () => {
    try {
      return (await fetch(new URL('api/health', address()))).status;
    } catch {
      return 'gone';
    }
  };
  expect(await health()).toBe(200);
  npm.kill('SIGTERM');
  await expect.poll(health, { timeout: 5_000 }).toBe('gone');
});
