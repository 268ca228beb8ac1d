/** One daemon a data folder: held by the living, taken over from the dead. */
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { monotonic_ns } from '../../../daemon/clock.ts';
import { lockFolder } from '../../../daemon/station-lock.ts';

let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'momentarm-lock-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const lockPath = () => join(folder, 'station.lock');

it('is given back', async () => {
  for (let time = 0; time < 2; time += 1) {
    const lock = await lockFolder(folder);
    expect(lock).toHaveProperty('release');
    if ('release' in lock) await lock.release();
  }
});

it('is refused while its owner lives, and names it', async () => {
  await writeFile(lockPath(), JSON.stringify({ pid: process.ppid, monotonic_ns: monotonic_ns() }));
  expect(await lockFolder(folder)).toEqual({ ownedBy: process.ppid });
});

it.each([
  ['of a process that is gone', () => ({ pid: 2 ** 30, monotonic_ns: monotonic_ns() })],
  ['made before the machine started', () => ({ pid: process.ppid, monotonic_ns: 2 ** 62 })],
  ['that holds nothing readable', () => 'half a'],
])('takes over a lock %s', async (_, content) => {
  await writeFile(lockPath(), JSON.stringify(content()).slice(0, 60));
  expect(await lockFolder(folder)).toHaveProperty('release');
  expect(JSON.parse(await readFile(lockPath(), 'utf8'))).toMatchObject({ pid: process.pid });
});
