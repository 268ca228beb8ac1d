/** One client that keeps up, one that acknowledges and stops, one that never does, one that is dead. */
import { describe, expect, it } from 'vitest';
import {
  CLOSE_ABOVE_bytes,
  HubClient,
  type Peer,
  THIN_ABOVE_bytes,
} from '../../../daemon/sinks/hub-client.ts';
import { textFrame } from '../../../daemon/sinks/hub-frame.ts';

/** A connection whose fill is set by the test; names what was written. */
class FakePeer implements Peer {
  written: string[] = [];
  buffered = 0;
  pings = 0;
  closed: number | null = null;
  write(frame: Buffer): void {
    this.written.push(frame.toString('latin1'));
  }
  buffered_bytes(): number {
    return this.buffered;
  }
  ping(): void {
    this.pings += 1;
  }
  close(code: number): void {
    this.closed = code;
  }
}

const block = (k: number) => ({ frame: Buffer.from(`b${k}`), first: 20 * k, end: 20 * k + 20 });

function offer(client: HubClient, from: number, to: number): void {
  for (let k = from; k < to; k += 1) client.offer(block(k));
}

function names(from: number, to: number): string[] {
  return Array.from({ length: to - from }, (_, i) => `b${from + i}`);
}

const thinned = (from: number, to: number) =>
  textFrame(JSON.stringify({ type: 'thinned', from, to })).toString('latin1');

describe('a client that keeps up', () => {
  it('gets every block at once', () => {
    const peer = new FakePeer();
    const client = new HubClient(peer);
    for (let k = 0; k < 500; k += 1) {
      client.offer(block(k));
      client.acknowledge(20 * k);
    }
    expect(peer.written).toEqual(names(0, 500));
    expect(client.isCoarse).toBe(false);
  });
});

describe('a client that acknowledges and then stops', () => {
  it('has half a second under way and half a second waiting, then loses the oldest and is told', () => {
    const peer = new FakePeer();
    const client = new HubClient(peer);
    client.offer(block(0));
    client.acknowledge(0);
    offer(client, 1, 100);
    expect(peer.written).toEqual(names(0, 26));
    expect(client.isCoarse).toBe(true);
    client.acknowledge(20 * 25);
    expect(peer.written.slice(26)).toEqual([thinned(20 * 26, 20 * 75), ...names(75, 100)]);
    expect(client.leftOut).toBe(20 * 49);
  });

  it('loses nothing in a pause of forty blocks', () => {
    const peer = new FakePeer();
    const client = new HubClient(peer);
    client.offer(block(0));
    client.acknowledge(0);
    offer(client, 1, 41);
    client.acknowledge(20 * 20);
    client.acknowledge(20 * 40);
    expect(peer.written).toEqual(names(0, 41));
  });

  it('gets whole blocks again after twenty coarse ones in time', () => {
    const peer = new FakePeer();
    const client = new HubClient(peer);
    client.offer(block(0));
    client.acknowledge(0);
    offer(client, 1, 60);
    client.acknowledge(20 * 60);
    client.acknowledge(20 * 60);
    for (let k = 60; k < 79; k += 1) {
      client.offer(block(k));
      client.acknowledge(20 * k);
    }
    expect(client.isCoarse).toBe(true);
    offer(client, 79, 80);
    expect(client.isCoarse).toBe(false);
  });
});

describe('a client that never acknowledges', () => {
  it('is sent to until the socket holds 256 KiB, then gets the newest when it drains', () => {
    const peer = new FakePeer();
    const client = new HubClient(peer);
    offer(client, 0, 200);
    expect(peer.written).toHaveLength(200);
    peer.buffered = THIN_ABOVE_bytes + 1;
    offer(client, 200, 300);
    expect(peer.written).toHaveLength(200);
    peer.buffered = 0;
    client.drained();
    expect(peer.written.slice(200)).toEqual([thinned(4000, 5500), ...names(275, 300)]);
  });

  it('that once answered a ping and no longer does gets nothing more until it answers', () => {
    const peer = new FakePeer();
    const client = new HubClient(peer);
    client.beat();
    client.ponged();
    client.beat();
    offer(client, 0, 10);
    client.beat();
    offer(client, 10, 20);
    client.beat();
    expect(peer.written).toEqual(names(0, 10));
    expect(peer.pings).toBe(2);
    client.ponged();
    expect(peer.written).toEqual(names(0, 20));
  });

  it('and never answers pings is left to the socket', () => {
    const peer = new FakePeer();
    const client = new HubClient(peer);
    for (let beat = 0; beat < 5; beat += 1) client.beat();
    offer(client, 0, 100);
    expect(peer.written).toEqual(names(0, 100));
    expect(peer.pings).toBe(1);
  });

  it('is closed when its own pings fill the socket', () => {
    const peer = new FakePeer();
    const client = new HubClient(peer);
    peer.buffered = CLOSE_ABOVE_bytes + 1;
    client.beat();
    expect(peer.closed).toBe(1013);
  });
});

describe('events', () => {
  it('pass a client that is behind by, and only the newest of each kind follows later', () => {
    const peer = new FakePeer();
    const client = new HubClient(peer);
    client.tell('state', Buffer.from('s1'));
    peer.buffered = THIN_ABOVE_bytes + 1;
    for (const text of ['s2', 's3', 's4']) client.tell('state', Buffer.from(text));
    client.tell('ledger', Buffer.from('l1'));
    peer.buffered = 0;
    client.drained();
    expect(peer.written).toEqual(['s1', 's4', 'l1']);
  });
});
