/** A feed under observation, and devices that write the known test signal at real or full pace. */
import { setTimeout as sleep } from 'node:timers/promises';
import { createFeed, type Feed } from '../../daemon/sources/supervise.ts';
import { parseSourceUrl } from '../../daemon/sources/url.ts';
import type { StreamBlock } from '../../shared/block/block.ts';
import type { DialectId } from '../../shared/decode/index.ts';
import { createLineEncoder } from '../../shared/encode/lines.ts';
import { createPacketEncoder } from '../../shared/encode/packets.ts';
import type { Fault } from '../../shared/faults.ts';
import type { SourceState } from '../../shared/wire/events.ts';
import { columnsOf, formatOf, join, value } from './wire.ts';

const CHANNELS = 3;

export interface HeardFeed {
  readonly feed: Feed;
  readonly blocks: StreamBlock[];
  readonly faults: Fault[];
  /** Each state with the time it began, milliseconds. */
  readonly states: { readonly state: SourceState; readonly at_ms: number }[];
  /** Resolves when it is so; fails after the limit. */
  until(isTrue: () => boolean, limit_ms?: number): Promise<void>;
}

export function listenTo(url: string): HeardFeed {
  const feed = createFeed({ url: parseSourceUrl(url) });
  const heard: HeardFeed = {
    feed,
    blocks: [],
    faults: [],
    states: [],
    async until(isTrue, limit_ms = 10_000) {
      const end = performance.now() + limit_ms;
      while (!isTrue()) {
        if (performance.now() > end) {
          throw new Error(`not within ${limit_ms} ms: ${JSON.stringify(feed.status())}`);
        }
        await sleep(5);
      }
    },
  };
  feed.blocks$.subscribe((block) => heard.blocks.push(block));
  feed.faults$.subscribe((fault) => heard.faults.push(fault));
  feed.status$.subscribe(({ state }) => {
    if (state === heard.states.at(-1)?.state) return;
    heard.states.push({ state, at_ms: performance.now() });
  });
  return heard;
}

/** Bytes of the test signal, 20 samples a piece, with a header every second. */
export function* piecesOf(dialect: DialectId, nSamples: number): Generator<Uint8Array> {
  const format = formatOf('int16', CHANNELS);
  const encoder =
    dialect === 'packets'
      ? createPacketEncoder(format)
      : createLineEncoder(format, { time: 'time_us' });
  for (let first = 0; first < nSamples; first += 20) {
    const samples = encoder.samples(first, 20, columnsOf(CHANNELS, first, 20));
    const header = 'header' in encoder ? encoder.header() : encoder.description();
    yield first % 1000 === 0 ? join([header, samples]) : samples;
  }
}

/** Writes them at 1 kHz. Resolves when all are written. */
export async function play(
  pieces: Iterable<Uint8Array>,
  write: (bytes: Uint8Array) => unknown,
): Promise<void> {
  let due_ms = performance.now();
  for (const piece of pieces) {
    await write(piece);
    due_ms += 20;
    await sleep(Math.max(0, due_ms - performance.now()));
  }
}

/** The first sample that is not the test signal, in words; empty when all are. */
export function firstWrong(blocks: readonly StreamBlock[], dialect: DialectId): string {
  const nStamps = dialect === 'lines' ? 1 : 0;
  let wanted = blocks[0]?.first ?? 0;
  for (const { first, n, columns } of blocks) {
    if (first !== wanted) return `index ${first} where ${wanted} belongs`;
    for (let i = 0; i < n; i += 1) {
      for (let c = 0; c < CHANNELS; c += 1) {
        const found = columns[c + nStamps]?.[i];
        if (found !== value(first + i, c)) return `channel ${c} of sample ${first + i} is ${found}`;
      }
    }
    wanted += n;
  }
  return '';
}
