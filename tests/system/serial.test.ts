/** A real serial line (a pseudo-terminal pair): nothing lost, torn away and put back, absent at start. */
import { setTimeout as sleep } from 'node:timers/promises';
import { SerialPort } from 'serialport';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { firstWrong, listenTo, piecesOf, play, type HeardFeed } from '../support/heard.ts';
import { createPty, type PtyPair } from '../support/pty.ts';

let pty: PtyPair;
let heard: HeardFeed;

beforeEach(async () => {
  pty = await createPty();
});
afterEach(async () => {
  await heard.feed.close();
  await pty.end();
});

const gapBetween = (from: string, to: string): number => {
  const begin = heard.states.find(({ state }) => state === from)?.at_ms ?? Number.NaN;
  const end = heard.states.findLast(({ state }) => state === to)?.at_ms ?? Number.NaN;
  return end - begin;
};

describe.each(['lines', 'packets'] as const)('%s', (format) => {
  test('60,000 samples as fast as the line takes them: none lost, none wrong', async () => {
    heard = listenTo(`serial:${pty.host}?baud=921600&format=${format}`);
    await heard.until(() => heard.feed.status().tries === 0);
    const device = await pty.openDevice();
    for (const piece of piecesOf(format, 60_000)) await device.write(piece);
    await heard.until(() => heard.feed.status().samples === 60_000);
    expect(heard.feed.status()).toMatchObject({
      gaps: 0,
      lostSamples: 0,
      damaged: 0,
      rate_Hz: 1000,
    });
    expect(firstWrong(heard.blocks, format)).toBe('');
    await device.close();
  });

  test('at 1 kHz real pace it is live all the time, and none is lost', async () => {
    heard = listenTo(`serial:${pty.host}?baud=921600&format=${format}`);
    await heard.until(() => heard.feed.status().tries === 0);
    const device = await pty.openDevice();
    await play(piecesOf(format, 4000), (bytes) => device.write(bytes));
    await heard.until(() => heard.feed.status().samples === 4000);
    expect(heard.states.map(({ state }) => state)).toEqual(['connecting', 'live']);
    expect(firstWrong(heard.blocks, format)).toBe('');
    expect(heard.faults).toEqual([]);
    await device.close();
  });
});

test('torn away it is stale, then lost with the reason; put back it goes on by itself', async () => {
  heard = listenTo(`serial:${pty.host}?baud=921600&format=packets`);
  const device = await pty.openDevice();
  await play(piecesOf('packets', 1000), (bytes) => device.write(bytes));
  await heard.until(() => heard.feed.status().state === 'live');
  const torn_ms = performance.now();
  await pty.tear();
  await device.close();
  await heard.until(() => heard.feed.status().state !== 'live', 500);
  // Stale at 250 ms of age or lost at the look that finds the path gone, whichever comes first.
  expect(performance.now() - torn_ms).toBeLessThan(400);
  await heard.until(() => heard.feed.status().state === 'connecting', 1000);
  expect(heard.feed.status().detail).toMatch(/is gone\.|There is no/);
  await sleep(700);
  expect(heard.feed.status()).toMatchObject({ state: 'connecting', samples: 1000 });

  await pty.restore();
  const back_ms = performance.now();
  await heard.until(() => heard.feed.status().tries === 0, 2000);
  expect(performance.now() - back_ms).toBeLessThan(2000);
  const again = await pty.openDevice();
  await play(piecesOf('packets', 1000), (bytes) => again.write(bytes));
  await heard.until(() => heard.feed.status().samples === 2000);
  expect(heard.feed.status()).toMatchObject({ state: 'live', gaps: 1, detail: '' });
  expect(new Set(heard.blocks.map(({ run }) => run))).toEqual(new Set([0, 1]));
  expect(heard.faults.map(({ code }) => code)).toContain('sourceLost');
  await again.close();
});

test('a device that stops talking is stale within 250 ms of its last sample, lost within 1 s', async () => {
  heard = listenTo(`serial:${pty.host}?baud=921600&format=packets`);
  const device = await pty.openDevice();
  await play(piecesOf('packets', 400), (bytes) => device.write(bytes));
  await heard.until(() => heard.states.at(-1)?.state === 'lost', 1500);
  const last_ms = (heard.blocks.at(-1)?.arrival_ns ?? 0) / 1e6;
  const offset_ms = performance.now() - Number(process.hrtime.bigint()) / 1e6;
  const since = (state: string): number =>
    (heard.states.find((one) => one.state === state)?.at_ms ?? Infinity) - offset_ms - last_ms;
  // The state is looked at every 20 ms; two looks are allowed on a busy machine.
  expect(since('stale')).toBeLessThan(290);
  expect(since('lost')).toBeLessThan(1040);
  expect(gapBetween('stale', 'lost')).toBeGreaterThan(600);
  await device.close();
});

test('a device that is not there at the start is taken when it comes', async () => {
  await pty.tear();
  heard = listenTo(`serial:${pty.host}?baud=921600`);
  await heard.until(() => heard.feed.status().tries >= 2);
  expect(heard.feed.status()).toMatchObject({ state: 'connecting', samples: 0, silence_ms: null });
  expect(heard.feed.status().detail).toMatch(/^There is no .* Plug the device in/);
  await pty.restore();
  await heard.until(() => heard.feed.status().tries === 0, 2000);
  const device = await pty.openDevice();
  await play(piecesOf('lines', 400), (bytes) => device.write(bytes));
  await heard.until(() => heard.feed.status().state === 'live');
  expect(heard.feed.status().format).toBe('lines');
  await device.close();
});

test('without baud and format both are found by listening', async () => {
  heard = listenTo(`serial:${pty.host}`);
  const device = await pty.openDevice();
  await play(piecesOf('packets', 1000), (bytes) => device.write(bytes));
  await heard.until(() => heard.feed.status().state === 'live');
  expect(heard.feed.status()).toMatchObject({ format: 'packets', lostSamples: 0 });
  await device.close();
});

test('a line that another program holds, and what is no line, are told in words', async () => {
  const holder = new SerialPort({ path: pty.host, baudRate: 921_600, autoOpen: false });
  await new Promise<void>((done, fail) => holder.open((error) => (error ? fail(error) : done())));
  heard = listenTo(`serial:${pty.host}?baud=921600&format=lines`);
  await heard.until(() => heard.feed.status().detail.startsWith('Another program holds'));
  await new Promise((done) => holder.close(done));
  await heard.until(() => heard.feed.status().tries === 0, 2000);
  await heard.feed.close();
  heard = listenTo('serial:/dev/null?baud=921600&format=lines');
  await heard.until(() => heard.feed.status().detail.includes('is no serial line'));
});
