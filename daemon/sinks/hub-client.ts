/**
 * One client of `/live`: gets every block while it keeps up, and fewer, coarser, newer ones when it
 * does not. What waits for it is bounded; whatever it does or leaves undone, nobody else waits.
 */
import { textFrame } from './hub-frame.ts';

/** Blocks under way to a client that acknowledges: half a second, one long pause of a page. */
const MOST_UNACKNOWLEDGED = 25;
/** Blocks kept for it beyond those; then the oldest goes. */
const MOST_WAITING = 25;
/** Above this much in the socket it is thinned: some 20 s of a usual stream. */
export const THIN_ABOVE_bytes = 256 * 1024;
/** Above this much it is closed: only its own pings can have filled the socket. */
export const CLOSE_ABOVE_bytes = 4 * 1024 * 1024;
/** It gets whole blocks again after so many coarse ones without falling behind. */
const COARSE_BLOCKS_TO_RECOVER = 20;
/** WebSocket close code "try again later". */
const TRY_AGAIN_LATER = 1013;

/** The connection below a client; the hub writes ready frames. */
export interface Peer {
  write(frame: Buffer): void;
  buffered_bytes(): number;
  /** Asks for a sign of life; every conforming client answers by itself. */
  ping(): void;
  close(code: number, reason: string): void;
}

/** A frame of samples [first, end). */
export interface BlockMessage {
  readonly frame: Buffer;
  readonly first: number;
  readonly end: number;
}

export class HubClient {
  /** True while it gets coarse blocks. */
  isCoarse = false;
  /** Samples it did not get as whole blocks, for the log and tests. */
  leftOut = 0;
  #peer: Peer;
  /** First samples of the blocks sent since its first acknowledgement and not yet acknowledged. */
  #underWay: number[] = [];
  #waiting: BlockMessage[] = [];
  /** Something waits for it: blocks, events, or the news of what was left out. */
  #isBehind = false;
  #tellings = new Map<string, Buffer>();
  #dropped: { from: number; to: number } | null = null;
  #hasAcknowledged = false;
  #hasPonged = false;
  /** It acknowledged something since the last beat: no need to ask. */
  #hasSpoken = false;
  #isPingOut = false;
  #isSilent = false;
  #coarseInTime = 0;

  constructor(peer: Peer) {
    this.#peer = peer;
  }

  /** A block of the kind this client gets now (see `isCoarse`). */
  offer(message: BlockMessage): void {
    if (this.#isStalled()) {
      this.#wait(message);
      return;
    }
    if (this.#isBehind) this.#flush();
    if (this.#waiting.length > 0) {
      this.#wait(message);
      return;
    }
    this.#send(message);
    if (!this.isCoarse) return;
    this.#coarseInTime += 1;
    if (this.#coarseInTime >= COARSE_BLOCKS_TO_RECOVER) this.isCoarse = false;
  }

  /** Whole news of a kind: a client that is behind gets only the newest of each. */
  tell(kind: string, frame: Buffer): void {
    if (this.#isStalled()) {
      this.#tellings.set(kind, frame);
      this.#isBehind = true;
    } else this.#peer.write(frame);
  }

  /** The client has used the block that begins at this sample, and all before it. */
  acknowledge(index: number): void {
    this.#hasAcknowledged = true;
    this.#hasSpoken = true;
    while (this.#underWay.length > 0 && (this.#underWay[0] ?? 0) <= index) this.#underWay.shift();
    this.#flushIfFree();
  }

  /** Asks for a sign of life; one that stays out until the next beat means nobody reads. */
  beat(): void {
    if (this.#peer.buffered_bytes() > CLOSE_ABOVE_bytes) {
      this.#peer.close(TRY_AGAIN_LATER, 'more waits than can be sent; connect again');
      return;
    }
    if (this.#isPingOut) {
      this.#isSilent = this.#hasPonged;
      return;
    }
    if (this.#hasSpoken) {
      this.#hasSpoken = false;
      return;
    }
    this.#isPingOut = true;
    this.#peer.ping();
  }

  ponged(): void {
    this.#hasPonged = true;
    this.#isPingOut = false;
    this.#isSilent = false;
    this.#flushIfFree();
  }

  /** The socket took all it held. */
  drained(): void {
    this.#flushIfFree();
  }

  #isStalled(): boolean {
    return (
      this.#isSilent ||
      (this.#hasAcknowledged && this.#underWay.length >= MOST_UNACKNOWLEDGED) ||
      this.#peer.buffered_bytes() > THIN_ABOVE_bytes
    );
  }

  #wait(message: BlockMessage): void {
    this.#coarseInTime = 0;
    this.#isBehind = true;
    this.#waiting.push(message);
    if (this.#waiting.length <= MOST_WAITING) return;
    this.isCoarse = true;
    const oldest = this.#waiting.shift();
    if (!oldest) return;
    this.leftOut += oldest.end - oldest.first;
    this.#dropped = { from: this.#dropped?.from ?? oldest.first, to: oldest.end };
  }

  #flushIfFree(): void {
    if (this.#isBehind && !this.#isStalled()) this.#flush();
  }

  /** Sends what waited, as far as it may; says first what was left out. */
  #flush(): void {
    for (const [kind, frame] of this.#tellings) {
      this.#tellings.delete(kind);
      this.#peer.write(frame);
    }
    if (this.#dropped) {
      this.#peer.write(textFrame(JSON.stringify({ type: 'thinned', ...this.#dropped })));
      this.#dropped = null;
    }
    while (this.#waiting.length > 0 && !this.#isStalled()) {
      const message = this.#waiting.shift();
      if (message) this.#send(message);
    }
    this.#isBehind = this.#waiting.length > 0;
  }

  #send(message: BlockMessage): void {
    this.#peer.write(message.frame);
    if (this.#hasAcknowledged) this.#underWay.push(message.first);
  }
}
