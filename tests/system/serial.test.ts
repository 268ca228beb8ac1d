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

/** A device that sends until it is heard. */
function* piecesUntil(isHeard: () => boolean): Generator<Uint8Array> {
  for (const piece of piecesOf('packets', 60_000)) {
    if (isHeard()) return;
    yield piece;
  }
}

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
    expect(heard.states.map(({ state }) => state)).not.toContain('lost');
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
  await pty.tear();
  await device.close();
  await heard.until(() => heard.feed.status().state === 'connecting', 3000);
  expect(heard.feed.status().detail).toMatch(/is gone\.|There is no/);
  await sleep(700);
  expect(heard.feed.status()).toMatchObject({ state: 'connecting', samples: 1000 });

  await pty.restore();
  await heard.until(() => heard.feed.status().tries === 0, 4000);
  const again = await pty.openDevice();
  await play(piecesOf('packets', 1000), (bytes) => again.write(bytes));
  await heard.until(() => heard.feed.status().samples === 2000);
  expect(heard.feed.status()).toMatchObject({ state: 'live', gaps: 1, detail: '' });
  expect(new Set(heard.blocks.map(({ run }) => run))).toEqual(new Set([0, 1]));
  expect(heard.faults.map(({ code }) => code)).toContain('sourceLost');
  await again.close();
});

test('a device that stops talking is stale after 250 ms of silence, and lost after 1 s', async () => {
  heard = listenTo(`serial:${pty.host}?baud=921600&format=packets`);
  const device = await pty.openDevice();
  await play(piecesOf('packets', 400), (bytes) => device.write(bytes));
  const seen = new Map<string, number>();
  await heard.until(() => {
    const { state, silence_ms } = heard.feed.status();
    if (silence_ms !== null && !seen.has(state)) seen.set(state, silence_ms);
    // The state and the silence are read at one moment, so a busy machine changes nothing here.
    if (state === 'live') expect(silence_ms).toBeLessThanOrEqual(250);
    if (state === 'stale') expect(silence_ms).toBeLessThanOrEqual(1000);
    return state === 'lost';
  }, 5000);
  expect(seen.get('stale')).toBeGreaterThan(250);
  expect(seen.get('lost')).toBeGreaterThan(1000);
  await heard.until(() => heard.states.at(-1)?.state === 'lost');
  expect(heard.states.map(({ state }) => state)).toEqual(['connecting', 'live', 'stale', 'lost']);
  await device.close();
});

test('a device that is not there at the start is taken when it comes', async () => {
  await pty.tear();
  heard = listenTo(`serial:${pty.host}?baud=921600`);
  await heard.until(() => heard.feed.status().tries >= 2);
  expect(heard.feed.status()).toMatchObject({ state: 'connecting', samples: 0, silence_ms: null });
  expect(heard.feed.status().detail).toMatch(/^There is no .* Plug the device in/);
  await pty.restore();
  await heard.until(() => heard.feed.status().tries === 0, 4000);
  const device = await pty.openDevice();
  await play(piecesOf('lines', 400), (bytes) => device.write(bytes));
  await heard.until(() => heard.feed.status().state === 'live');
  expect(heard.feed.status().format).toBe('lines');
  await device.close();
});

test('without baud and format both are found by listening', async () => {
  heard = listenTo(`serial:${pty.host}`);
  const device = await pty.openDevice();
  const isFound = (): boolean => heard.feed.status().state === 'live';
  const playing = play(piecesUntil(isFound), (bytes) => device.write(bytes));
  await heard.until(isFound);
  await playing;
  expect(heard.feed.status()).toMatchObject({ format: 'packets', lostSamples: 0 });
  await device.close();
});

test('a line that another program holds, and what is no line, are told in words', async () => {
  const holder = new SerialPort({ path: pty.host, baudRate: 921_600, autoOpen: false });
  await new Promise<void>((done, fail) => holder.open((error) => (error ? fail(error) : done())));
  heard = listenTo(`serial:${pty.host}?baud=921600&format=lines`);
  await heard.until(() => heard.feed.status().detail.startsWith('Another program holds'));
  await new Promise((done) => holder.close(done));
  await heard.until(() => heard.feed.status().tries === 0, 4000);
  await heard.feed.close();
  heard = listenTo('serial:/dev/null?baud=921600&format=lines');
  await heard.until(() => heard.feed.status().detail.includes('is no serial line'));
});
