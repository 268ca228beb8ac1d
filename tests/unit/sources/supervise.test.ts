/** What the feed makes of a source that comes, stalls, goes and returns, on a clock we turn by hand. */
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Source, SourceSink } from '../../../daemon/sources/index.ts';
import { createFeed, type Feed } from '../../../daemon/sources/supervise.ts';
import { parseSourceUrl } from '../../../daemon/sources/url.ts';
import type { StreamBlock } from '../../../shared/block/block.ts';
import type { Fault } from '../../../shared/faults.ts';
import { createPacketEncoder } from '../../../shared/encode/packets.ts';
import { columnsOf, formatOf, text } from '../../support/wire.ts';

/** A source whose every move is the test's. */
function scriptedSource() {
  let sink: SourceSink | null = null;
  let end: (reason: string) => void = () => undefined;
  const script = { refuse: '', nOpened: 0, nClosed: 0 };
  const source: Source = {
    id: 'tcp',
    form: 'tcp://127.0.0.1:1',
    about: 'a test',
    open(_url, to, signal) {
      if (script.refuse !== '') return Promise.reject(new Error(script.refuse));
      script.nOpened += 1;
      sink = to;
      const closed = new Promise<string>((resolve) => (end = resolve));
      signal.addEventListener('abort', () => end('stopped'));
      const close = (): Promise<void> => {
        script.nClosed += 1;
        end('closed');
        return Promise.resolve();
      };
      return Promise.resolve({ closed, close });
    },
  };
  return {
    source,
    script,
    send: (bytes: Uint8Array) => sink?.bytes(bytes, now_ns()),
    tearAway: (reason: string) => end(reason),
  };
}

const now_ns = (): number => performance.now() * 1e6;

interface Watched {
  readonly feed: Feed;
  readonly blocks: StreamBlock[];
  readonly faults: Fault[];
  readonly states: string[];
}

function watch(source: Source, options = 'format=packets'): Watched {
  const clock = { monotonic_ns: now_ns, wallClock: () => new Date() };
  const feed = createFeed({ url: parseSourceUrl(`tcp://h:1?${options}`), source, clock });
  const watched: Watched = { feed, blocks: [], faults: [], states: [] };
  feed.blocks$.subscribe((block) => watched.blocks.push(block));
  feed.faults$.subscribe((fault) => watched.faults.push(fault));
  feed.status$.subscribe(({ state }) => {
    if (state !== watched.states.at(-1)) watched.states.push(state);
  });
  return watched;
}

/** A device at 1 kHz, 20 samples every 20 ms. */
function createDevice(send: (bytes: Uint8Array) => void) {
  const encoder = createPacketEncoder(formatOf('int16', 2));
  let first = 0;
  return {
    async run(duration_ms: number) {
      send(encoder.description());
      for (let t = 0; t < duration_ms; t += 20) {
        await vi.advanceTimersByTimeAsync(20);
        send(encoder.samples(first, 20, columnsOf(2, first, 20)));
        first += 20;
      }
    },
  };
}

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

describe('a feed', () => {
  test('is live with samples, stale after 250 ms, lost after 1 s, and live again', async () => {
    const { source, send } = scriptedSource();
    const { feed, states } = watch(source);
    const device = createDevice(send);
    await vi.advanceTimersByTimeAsync(1);
    await device.run(500);
    expect(feed.status()).toMatchObject({ state: 'live', rate_Hz: 1000, samples: 500, detail: '' });
    await vi.advanceTimersByTimeAsync(240);
    expect(feed.status().state).toBe('live');
    await vi.advanceTimersByTimeAsync(20);
    expect(feed.status().state).toBe('stale');
    expect(feed.status().detail).toMatch(/\w/);
    await vi.advanceTimersByTimeAsync(750);
    expect(feed.status()).toMatchObject({ state: 'lost', samples: 500, rate_Hz: 1000 });
    await device.run(40);
    expect(states).toEqual(['connecting', 'live', 'stale', 'lost', 'live']);
    await feed.close();
  });

  test('a source that is missing is tried at once, then every second, and is told once', async () => {
    const { source, script } = scriptedSource();
    script.refuse = 'There is no device.';
    const { feed, faults } = watch(source);
    await vi.advanceTimersByTimeAsync(240);
    expect(feed.status()).toMatchObject({ state: 'connecting', tries: 2, detail: script.refuse });
    await vi.advanceTimersByTimeAsync(10_000);
    expect(feed.status().tries).toBeGreaterThanOrEqual(11);
    expect(faults).toEqual([{ code: 'sourceMissing', at: -1, detail: script.refuse, count: 1 }]);
    script.refuse = '';
    await vi.advanceTimersByTimeAsync(1000);
    expect(feed.status()).toMatchObject({ state: 'connecting', tries: 0 });
    await feed.close();
  });

  test('a torn connection comes back as another run further on, and counts go on', async () => {
    const { source, script, send, tearAway } = scriptedSource();
    const { feed, blocks, faults } = watch(source);
    await vi.advanceTimersByTimeAsync(1);
    await createDevice(send).run(400);
    tearAway('The plug was pulled.');
    await vi.advanceTimersByTimeAsync(1);
    expect(feed.status()).toMatchObject({ state: 'lost', detail: 'The plug was pulled.' });
    await vi.advanceTimersByTimeAsync(249);
    expect(script.nOpened).toBe(2);
    await createDevice(send).run(400);
    expect(feed.status()).toMatchObject({ state: 'live', samples: 800, gaps: 1 });
    expect(new Set(blocks.map((block) => block.run))).toEqual(new Set([0, 1]));
    const lost = feed.status().lostSamples;
    expect(lost).toBeGreaterThan(230);
    expect(lost).toBeLessThan(290);
    blocks.reduce((next, block) => {
      expect(block.index).toBeGreaterThanOrEqual(next);
      return block.index + block.n;
    }, 0);
    expect(faults.map(({ code, at }) => [code, at])).toEqual([['sourceLost', 400]]);
    await feed.close();
  });

  test('an open source that says nothing is opened anew, ever more patiently', async () => {
    const { source, script } = scriptedSource();
    const { feed, faults } = watch(source);
    await vi.advanceTimersByTimeAsync(1020);
    expect(feed.status()).toMatchObject({
      state: 'lost',
      detail: 'It is open, but nothing arrives.',
    });
    expect(faults.map(({ code }) => code)).toEqual(['sourceSilent']);
    await vi.advanceTimersByTimeAsync(4500);
    expect(script.nOpened).toBe(2);
    await vi.advanceTimersByTimeAsync(9000);
    expect(script.nOpened).toBe(2);
    await vi.advanceTimersByTimeAsync(1500);
    expect(script.nOpened).toBe(3);
    await feed.close();
  });

  test('a partial block comes out within two ticks', async () => {
    const { source, send } = scriptedSource();
    const { feed, blocks } = watch(source);
    await vi.advanceTimersByTimeAsync(1);
    const encoder = createPacketEncoder(formatOf('int16', 2));
    send(encoder.description());
    send(encoder.samples(0, 5, columnsOf(2, 0, 5)));
    await vi.advanceTimersByTimeAsync(40);
    expect(blocks.map(({ n }) => n)).toEqual([5]);
    await feed.close();
  });

  test('finds the format itself and loses nothing of it', async () => {
    for (const format of ['packets', 'lines'] as const) {
      const { source, send } = scriptedSource();
      const { feed, blocks } = watch(source, 'rate=1000');
      await vi.advanceTimersByTimeAsync(1);
      if (format === 'packets') await createDevice(send).run(200);
      else for (let i = 0; i < 21; i += 1) send(text(...(i === 0 ? ['time_ms,a'] : []), `${i},5`));
      await vi.advanceTimersByTimeAsync(60);
      expect(feed.status().format).toBe(format);
      expect(blocks[0]).toMatchObject({ index: 0, first: 0 });
      expect(feed.status().samples).toBe(format === 'packets' ? 200 : 21);
      await feed.close();
    }
  });

  test('a doubtful format is asked about, not guessed', async () => {
    const { source, send } = scriptedSource();
    const { feed, blocks, faults } = watch(source, 'rate=1000');
    await vi.advanceTimersByTimeAsync(1);
    for (let t = 0; t < 1500; t += 20) {
      send(Uint8Array.from({ length: 50 }, (_, i) => (i * 37 + t) & 255));
      await vi.advanceTimersByTimeAsync(20);
    }
    expect(blocks).toEqual([]);
    expect(feed.status().detail).toMatch(
      /^Which format is it\? Add format=lines or format=packets/,
    );
    expect(faults.map(({ code }) => code)).toEqual(['sourceUnreadable']);
    await feed.close();
  });

  test('lines that need a word more say which', async () => {
    const { source, send } = scriptedSource();
    const { feed } = watch(source, 'format=lines');
    await vi.advanceTimersByTimeAsync(1);
    for (let i = 0; i < 60; i += 1) {
      send(text(...(i === 0 ? ['sample,a'] : []), `${i},5`));
      await vi.advanceTimersByTimeAsync(20);
    }
    expect(feed.status().detail).toBe(
      'Bytes arrive as lines, but: the sample rate is not known: print "# rate_Hz: 1000" or add rate=1000.',
    );
    await feed.close();
  });

  test('a device that stops within a line is silent, and is opened anew', async () => {
    const { source, script, send } = scriptedSource();
    const { feed } = watch(source, 'format=lines&rate=1000');
    await vi.advanceTimersByTimeAsync(1);
    send(text('time_ms,a', '0,5', '1,5', '2,5'));
    send(new TextEncoder().encode('3,'));
    await vi.advanceTimersByTimeAsync(2100);
    expect(feed.status().detail).toBe('It is open, but nothing arrives.');
    await vi.advanceTimersByTimeAsync(4000);
    expect(script.nOpened).toBe(2);
    await feed.close();
  });

  test('a hole is told with the index at which it begins', async () => {
    const { source, send } = scriptedSource();
    const { feed, faults } = watch(source);
    await vi.advanceTimersByTimeAsync(1);
    const encoder = createPacketEncoder(formatOf('int16', 2));
    send(encoder.description());
    for (const first of [0, 7, 21]) send(encoder.samples(first, 7, columnsOf(2, first, 7)));
    expect(faults).toEqual([
      { code: 'samplesLost', at: 14, detail: '7 samples, 0 packets', count: 1 },
    ]);
    await feed.close();
  });

  test('the wrong format is told with the right one', async () => {
    const { source, send } = scriptedSource();
    const { feed } = watch(source, 'format=lines');
    await vi.advanceTimersByTimeAsync(1);
    await createDevice(send).run(1200);
    expect(feed.status()).toMatchObject({
      state: 'lost',
      detail: 'These bytes are packets, not lines: change format=.',
    });
    await feed.close();
  });

  test('thousands of faults a second are four, with their count', async () => {
    const { source, send } = scriptedSource();
    const { feed, faults } = watch(source);
    await vi.advanceTimersByTimeAsync(1);
    send(Uint8Array.of(0));
    for (let t = 0; t < 1000; t += 1) {
      send(Uint8Array.of(5, 1, 2, 0, 9, 9, 0));
      await vi.advanceTimersByTimeAsync(1);
    }
    await feed.close();
    const damaged = faults.filter(({ code }) => code === 'frameDamaged');
    expect(damaged.length).toBeLessThanOrEqual(5);
    expect(damaged.reduce((sum, { count }) => sum + count, 0)).toBe(2000);
    expect(feed.status().damaged).toBe(2000);
  });

  test('values at the ends of the converter are counted over the last second', async () => {
    const { source, send } = scriptedSource();
    const { feed } = watch(source);
    await vi.advanceTimersByTimeAsync(1);
    const encoder = createPacketEncoder(formatOf('int16', 2));
    const railed = [new Float64Array(20).fill(32_767), new Float64Array(20)];
    send(encoder.description());
    send(encoder.samples(0, 20, railed));
    expect(feed.status().clipped).toBe(20);
    await vi.advanceTimersByTimeAsync(1200);
    expect(feed.status().clipped).toBe(0);
    await feed.close();
  });

  test('closing ends everything, twice if asked', async () => {
    const { source, script } = scriptedSource();
    const { feed } = watch(source);
    await vi.advanceTimersByTimeAsync(1);
    let nCompleted = 0;
    const complete = (): void => void (nCompleted += 1);
    feed.blocks$.subscribe({ complete });
    feed.faults$.subscribe({ complete });
    feed.status$.subscribe({ complete });
    await Promise.all([feed.close(), feed.close()]);
    expect(nCompleted).toBe(3);
    expect(script.nClosed).toBeGreaterThan(0);
    expect(vi.getTimerCount()).toBe(0);
  });
});
