/**
 * Runs the emulated device on its wire until its time is over: pieces at their pace, through the bad
 * cable, with the faults of the plan at their times. It counts everything it does.
 */
import { setTimeout as sleep } from 'node:timers/promises';
import { monotonic_ns } from '../clock.ts';
import type { Device, Piece } from './device.ts';
import type { FaultPlan } from './fault-plan.ts';
import { join } from './join.ts';
import { createBadCable, type Damage } from './misbehave.ts';
import { createPace } from './pace.ts';
import { createTimeline, type TimelineCounts } from './timeline.ts';
import type { Wire } from './wires/index.ts';

export interface RunOptions {
  readonly device: Device;
  readonly wire: Wire;
  readonly plan: FaultPlan;
  readonly seed: number;
  /** Multiple of real pace; 0 as fast as the far end takes it. */
  readonly speedFactor: number;
  /** Device time to run, seconds; null until the signal or the end of the script. */
  readonly duration_s: number | null;
  readonly signal: AbortSignal;
  /** Told every piece, sent or not. */
  onPiece(piece: Piece): void;
}

/** Exact counts of a run. */
export interface RunReport extends Readonly<Damage>, TimelineCounts {
  /** Samples that the device took, and those that a silence, a stall or a shut wire swallowed. */
  readonly samples: number;
  readonly unsentSamples: number;
  readonly frames: number;
  readonly deviceTime_s: number;
}

const ANNOUNCE_EVERY_S = 1;
/** As fast as possible still lets others run after so many pieces. */
const PIECES_AT_ONCE = 50;

export async function runDevice(options: RunOptions): Promise<RunReport> {
  const { device, speedFactor, duration_s, signal } = options;
  const piece_s = device.pieceSamples / device.format.rate_Hz;
  const sender = createSender(options, piece_s);
  const most = duration_s === null ? Infinity : Math.round(duration_s / piece_s);
  const isOver = () => signal.aborted || device.isOver || sender.pieces >= most;

  await Promise.race([options.wire.ready(), aborted(signal)]);
  const pace = createPace({
    pieceRate_Hz: 1 / piece_s,
    speedFactor: speedFactor === 0 ? 1 : speedFactor,
    ppm: options.plan.ppm,
    start_ns: monotonic_ns(),
  });
  while (!isOver()) {
    if (speedFactor === 0) {
      for (let k = 0; k < PIECES_AT_ONCE && !isOver(); k++) await sender.next('due');
      await sleep(0);
      continue;
    }
    const { late, pieces } = pace.take(monotonic_ns());
    for (let k = 0; k < late + pieces && !isOver(); k++) {
      await sender.next(k < late ? 'late' : 'due');
    }
    if (!isOver()) await sleep(pace.wait_ms(monotonic_ns()));
  }
  await sender.flush();
  return sender.report();
}

/** Makes pieces and brings them to the wire, one after the other. */
function createSender(options: RunOptions, piece_s: number) {
  const { device, wire, plan, seed } = options;
  const cable = createBadCable(plan, seed);
  const timeline = createTimeline(plan.events, device, wire);
  const announceEvery = Math.max(1, Math.round(ANNOUNCE_EVERY_S / piece_s));
  const burstPieces = Math.max(1, Math.round(plan.burst_s / piece_s));
  const counts = { samples: 0, unsentSamples: 0, frames: 0 };
  let nPieces = 0;
  let mustAnnounce = false;
  let gathered: Uint8Array[] = [];

  const flush = async () => {
    if (gathered.length === 0) return;
    const bytes = join(gathered);
    gathered = [];
    await wire.send(bytes, () => device.announcement());
  };
  return {
    get pieces() {
      return nPieces;
    },
    flush,
    /** A `late` piece is one that nobody may get any more. */
    async next(state: 'due' | 'late') {
      const now_s = nPieces * piece_s;
      if (timeline.isDue(now_s)) {
        await flush();
        if (await timeline.reach(now_s)) mustAnnounce = true;
      }
      if (nPieces > 0 && nPieces % announceEvery === 0) mustAnnounce = true;
      nPieces += 1;
      const piece = device.next();
      options.onPiece(piece);
      counts.samples += piece.n;
      if (state === 'late' || timeline.isSilent(now_s)) {
        counts.unsentSamples += piece.n;
        return;
      }
      if (mustAnnounce) gathered.push(device.announcement());
      mustAnnounce = false;
      for (const frame of piece.frames) gathered.push(...cable.pass(frame));
      counts.frames += piece.frames.length;
      if (nPieces % burstPieces === 0) await flush();
    },
    report: (): RunReport => ({
      ...counts,
      ...cable.damage,
      ...timeline.counts,
      deviceTime_s: nPieces * piece_s,
    }),
  };
}

function aborted(signal: AbortSignal): Promise<void> {
  if (signal.aborted) return Promise.resolve();
  return new Promise((resolve) => {
    signal.addEventListener('abort', () => resolve(), { once: true });
  });
}
