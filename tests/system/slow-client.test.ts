/**
 * Clients that stop reading, never acknowledge, or are many: what they get on return, what they cost,
 * and that nobody else notices. The stream is fast here so that seconds stand for minutes.
 */
import { readFileSync } from 'node:fs';
import type { Socket } from 'node:net';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type RunningDaemon, startDaemon } from '../support/daemon.ts';
import { type LiveClient, openLiveClient } from '../support/live-client.ts';
import { openDeafClient } from '../support/raw-http.ts';

const RATE_Hz = 10_000;
let daemon: RunningDaemon;
beforeAll(async () => {
  daemon = await startDaemon({ args: ['--source', `demo:?rate=${RATE_Hz}&script=rest:60`] });
  await daemon.until(({ source }) => source.state === 'live');
});
afterAll(() => daemon.stop());

const sleep = (time_ms: number) => new Promise((resolve) => setTimeout(resolve, time_ms));

function memory_MB(): number {
  const status = readFileSync(`/proc/${daemon.process.pid}/status`, 'utf8');
  return Number(/VmRSS:\s+(\d+)/.exec(status)?.[1]) / 1024;
}

/** Samples that came as whole blocks within the last `span_s` of what was heard. */
function wholeSamples({ blocks }: LiveClient, from: number): number {
  return blocks
    .filter(({ index, step }) => index >= from && step === 1)
    .reduce((sum, { n }) => sum + n, 0);
}

describe.concurrent.each([
  ['acknowledges', true],
  ['only answers pings, as every client does', false],
])('a client that %s and stops reading', (_, isAcknowledging) => {
  it('has a second of old data on return, is told what it missed, and gets the newest', async () => {
    const client = await openLiveClient(daemon.url, { isAcknowledging });
    await sleep(1_500);
    client.pause();
    const before = client.blocks.at(-1)?.index ?? 0;
    await sleep(3_500);
    const resumed_ms = performance.now();
    client.resume();
    const told = await client.when(({ event }) => event?.['type'] === 'thinned');
    expect(told.at_ms - resumed_ms).toBeLessThan(1_000);
    const from = Number(told.event?.['from']);
    expect((from - before) / RATE_Hz).toBeLessThan(1.8);
    const next = await client.when(
      ({ block }) => (block?.index ?? 0) >= Number(told.event?.['to']),
    );
    expect(next.at_ms - resumed_ms).toBeLessThan(1_000);
    await client.when(({ block }) => (block?.index ?? 0) > before + 3.5 * RATE_Hz, 1_000);
    // Coarse blocks until it has kept up for a while, then whole ones again.
    const coarse = await client.when(({ block }) => (block?.step ?? 1) > 1, 2_000);
    await client.when((heard) => heard.at_ms > coarse.at_ms && heard.block?.step === 1, 5_000);
    client.close();
  });
});

describe('twenty clients that never read', () => {
  it('cost little memory and leave a fast client all its samples', async () => {
    const fast = await openLiveClient(daemon.url, { isAcknowledging: true });
    await sleep(2_000);
    const before_MB = memory_MB();
    const deaf: Socket[] = [];
    for (let k = 0; k < 20; k += 1) deaf.push(await openDeafClient(daemon.port));
    const from = fast.blocks.at(-1)?.index ?? 0;
    const heardBefore = fast.heard.length;
    await sleep(8_000);
    const to = fast.blocks.at(-1)?.index ?? 0;
    expect((to - from) / RATE_Hz).toBeGreaterThan(7);
    expect(wholeSamples(fast, from) / (to - from)).toBeGreaterThan(0.99);
    const waits = fast.heard.slice(heardBefore).map(({ at_ms }, k, all) => {
      return at_ms - (all[k - 1]?.at_ms ?? at_ms);
    });
    expect(Math.max(...waits)).toBeLessThan(500);
    // 256 KiB each may wait in the process once the kernel's own buffers are full: 5 MB in all.
    expect(memory_MB() - before_MB).toBeLessThan(20);
    for (const socket of deaf) socket.destroy();
    fast.close();
    await sleep(200);
    expect((await daemon.health()).status).toBe('ok');
  });
});
