/** The hub: late joiners, who hears what, coarse blocks for those behind, a full house. */
import { describe, expect, it } from 'vitest';
import { createHub } from '../../../daemon/sinks/hub.ts';
import type { Peer } from '../../../daemon/sinks/hub-client.ts';
import { decodeLiveBlock } from '../../../shared/wire/block-codec.ts';

interface Heard {
  readonly peer: Peer;
  readonly frames: Buffer[];
  isFull: boolean;
}

function listener(): Heard {
  const heard: Heard = {
    frames: [],
    isFull: false,
    peer: {
      write: (frame) => void heard.frames.push(frame),
      buffered_bytes: () => (heard.isFull ? 1e6 : 0),
      ping: () => undefined,
      close: () => undefined,
    },
  };
  return heard;
}

const block = (k: number) => ({
  index: 20 * k,
  n: 20,
  rate_Hz: 1000,
  arrival_ms: k,
  afterGap: false,
  columns: [Float64Array.from({ length: 20 }, (_, i) => 20 * k + i)],
});

function blocksOf(frames: readonly Buffer[]) {
  return frames
    .filter((frame) => frame[0] === 0x82)
    .map((frame) => {
      const start = (frame[1] ?? 0) < 126 ? 2 : 4;
      return decodeLiveBlock(Uint8Array.from(frame.subarray(start)).buffer);
    });
}

const LANE_BLANK = {
  type: 'lane',
  form: 'blank',
  phase: 'wait',
  word: '',
  done: 0,
  of: 5,
  limb: 0,
  way: 0,
  seconds: null,
  passed: 0,
  best: null,
  target: null,
  isMirrored: false,
  font: 0.02,
  degree: 0.05,
} as const;

describe('hub', () => {
  it('gives a late joiner the newest of each event and then what comes', () => {
    const hub = createHub();
    hub.tellSubject({ type: 'level', level: 0.1 });
    hub.tellSubject({ type: 'level', level: 0.2 });
    hub.tellSubject(LANE_BLANK);
    const late = listener();
    hub.joinSubject(late.peer);
    const texts = late.frames.map((frame) => frame.subarray(2).toString());
    expect(texts.some((text) => text.includes('0.1'))).toBe(false);
    expect(texts.some((text) => text.includes('0.2'))).toBe(true);
    expect(texts).toHaveLength(2);
    hub.close('end');
  });

  it('writes the very same bytes to all clients of the station and none to a subject', () => {
    const hub = createHub();
    const [a, b, subject] = [listener(), listener(), listener()];
    hub.joinStation(a.peer);
    hub.joinStation(b.peer);
    hub.joinSubject(subject.peer);
    hub.sendBlock(block(0));
    expect(a.frames[0]).toBe(b.frames[0]);
    expect(subject.frames).toEqual([]);
    hub.close('end');
  });

  it('sends coarse blocks to one that fell behind, without a hole when it recovers', () => {
    const hub = createHub();
    const slow = listener();
    const client = hub.joinStation(slow.peer);
    slow.isFull = true;
    for (let k = 0; k < 100; k += 1) hub.sendBlock(block(k));
    expect(slow.frames).toEqual([]);
    slow.isFull = false;
    client?.drained();
    for (let k = 100; k < 300; k += 1) hub.sendBlock(block(k));
    const got = blocksOf(slow.frames);
    expect(got.some((each) => each?.step === 5 && each.n === 20)).toBe(true);
    expect(got.at(-1)).toMatchObject({ index: 5980, step: 1 });
    got.slice(1).forEach((each, k) => {
      const before = got[k];
      expect(each?.index).toBe((before?.index ?? 0) + (before?.n ?? 0) * (before?.step ?? 0));
    });
    hub.close('end');
  });

  it('refuses the 401st client and takes one again when one leaves', () => {
    const hub = createHub();
    const clients = Array.from({ length: 400 }, () => hub.joinStation(listener().peer));
    expect(hub.joinStation(listener().peer)).toBeNull();
    const [first] = clients;
    if (first) hub.leave(first);
    expect(hub.joinSubject(listener().peer)).not.toBeNull();
    hub.close('end');
  });
});
