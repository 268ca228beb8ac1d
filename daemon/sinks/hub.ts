/**
 * The hub: every block framed once and written to all clients of `/live`; events to those they are for.
 * It keeps the newest of each kind of event for whoever joins later, and never waits for anyone.
 */
import type { LiveBlockSource } from '../../shared/wire/block-codec.ts';
import { createCoarsener, type Coarsener } from '../../shared/wire/coarse.ts';
import type { LaneEvent, LiveEvent } from '../../shared/wire/events.ts';
import { type BlockMessage, HubClient, type Peer } from './hub-client.ts';
import { blockFrame, textFrame } from './hub-frame.ts';

/** How often a client is asked for a sign of life; one that reads nothing goes unnoticed for two. */
const BEAT_ms = 450;
/** Asked at once, then the next ones: answers of hundreds of clients cost more than their blocks. */
const ASKED_A_BEAT = 10;
/** More pages than a laboratory has; each costs one write a block. */
const MOST_CLIENTS = 400;

/** WebSocket close code "going away". */
const GOING_AWAY = 1001;

export interface Hub {
  readonly nClients: number;
  /** A page of the tester or researcher; null when the house is full. */
  joinStation(peer: Peer): HubClient | null;
  /** A subject's screen: lane events only, never a number of the measurement. */
  joinSubject(peer: Peer): HubClient | null;
  leave(client: HubClient): void;
  sendBlock(block: LiveBlockSource): void;
  tellStation(event: LiveEvent): void;
  tellSubject(event: LaneEvent): void;
  /** Tells all clients that the station ends, and stops asking for signs of life. */
  close(reason: string): void;
}

export function createHub(): Hub {
  const station = createAudience();
  const subject = createAudience();
  let coarsener: Coarsener | null = null;
  const stopBeating = beatInTurn(() => [...station.clients.keys(), ...subject.clients.keys()]);
  const nClients = (): number => station.clients.size + subject.clients.size;
  const join = (audience: Audience, peer: Peer): HubClient | null =>
    nClients() < MOST_CLIENTS ? audience.join(peer) : null;

  const sendCoarse = (block: LiveBlockSource, behind: readonly HubClient[]): void => {
    if (behind.length === 0) {
      coarsener = null;
      return;
    }
    coarsener ??= createCoarsener();
    for (const coarse of coarsener.push(block)) {
      const message = messageOf(coarse);
      for (const client of behind) client.offer(message);
    }
  };

  return {
    get nClients() {
      return nClients();
    },
    joinStation: (peer) => join(station, peer),
    joinSubject: (peer) => join(subject, peer),
    leave(client) {
      station.clients.delete(client);
      subject.clients.delete(client);
    },
    sendBlock(block) {
      if (station.clients.size === 0) return;
      // Chosen first and served last: nobody who changes sides on this block gets it twice.
      const behind = [...station.clients.keys()].filter((client) => client.isCoarse);
      const message = messageOf(block);
      for (const client of station.clients.keys()) if (!client.isCoarse) client.offer(message);
      sendCoarse(block, behind);
    },
    tellStation: (event) => station.tell(event),
    tellSubject: (event) => subject.tell(event),
    close(reason) {
      stopBeating();
      for (const { clients } of [station, subject]) {
        for (const peer of clients.values()) peer.close(GOING_AWAY, reason);
        clients.clear();
      }
    },
  };
}

/** Goes round the clients at the pace of the limits above; gives the function that ends it. */
function beatInTurn(clientsNow: () => readonly HubClient[]): () => void {
  let round: HubClient[] = [];
  const timer = setInterval(() => {
    if (round.length === 0) round = [...clientsNow()];
    for (const client of round.splice(0, ASKED_A_BEAT)) client.beat();
  }, BEAT_ms);
  timer.unref();
  return () => clearInterval(timer);
}

interface Audience {
  readonly clients: Map<HubClient, Peer>;
  join(peer: Peer): HubClient;
  tell(event: LiveEvent | LaneEvent): void;
}

function createAudience(): Audience {
  const clients = new Map<HubClient, Peer>();
  const newest = new Map<string, Buffer>();
  return {
    clients,
    join(peer) {
      const client = new HubClient(peer);
      clients.set(client, peer);
      for (const [kind, frame] of newest) client.tell(kind, frame);
      return client;
    },
    tell(event) {
      const frame = textFrame(JSON.stringify(event));
      newest.set(event.type, frame);
      for (const client of clients.keys()) client.tell(event.type, frame);
    },
  };
}

function messageOf(block: LiveBlockSource): BlockMessage {
  const end = block.index + block.n * (block.step ?? 1);
  return { frame: blockFrame(block), first: block.index, end };
}
