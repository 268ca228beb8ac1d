/**
 * Follows packet number, sample index and ticks of a device over their wrap-around.
 * Says of each packet whether it follows, follows after a hole, came already, or begins a new run.
 */
import { MAX_HOLE_S } from './block-builder.ts';

const U32 = 2 ** 32;
const U16 = 2 ** 16;
/** How far back a repeated packet is known again; links that repeat do so at once. */
const REMEMBERED = 32;
/** After a hole the ticks must agree with the index this well, else the device started again. */
const HOLE_TOLERANCE_S = 0.25;
const HOLE_TOLERANCE_RATIO = 0.05;
/** Announced and ticked rate are compared over this long ... */
const RATE_SPAN_S = 1;
/** ... and may differ by this much: no crystal is off by more than a twentieth of it. */
const RATE_TOLERANCE = 0.01;

export interface PacketStamp {
  readonly sequence: number;
  /** Index of its first sample, modulo 2^32. */
  readonly first: number;
  readonly ticks: number;
  readonly n: number;
  readonly crc: number;
}

export type PacketPlace = 'next' | 'hole' | 'restart' | 'duplicate';

export class PacketClock {
  /** Index of the packet's first sample, wrap-around undone. */
  first = 0;
  /** Of the hole before the packet: samples, and packets by their number. */
  lostSamples = 0;
  lostPackets = 0;
  /** Samples a second by the ticks of the last second when that contradicts the announced; else 0. */
  contradiction_Hz = 0;
  #rate_Hz = 1;
  #tick_Hz = 1;
  #isFirst = true;
  #next = 0;
  #nextSequence = 0;
  #ticks = 0;
  #lastN = 0;
  #spanSamples = 0;
  #spanTicks = 0;
  readonly #seen = new Float64Array(2 * REMEMBERED);
  #nSeen = 0;

  /** A new count of samples begins with the next packet. */
  begin(rate_Hz: number, tick_Hz: number): void {
    this.#rate_Hz = rate_Hz;
    this.#tick_Hz = tick_Hz;
    this.#isFirst = true;
    this.#nSeen = 0;
    this.#spanSamples = 0;
    this.#spanTicks = 0;
  }

  place(stamp: PacketStamp): PacketPlace {
    this.contradiction_Hz = 0;
    this.lostSamples = 0;
    const place = this.#isFirst ? 'next' : this.#judge(stamp);
    if (place === 'duplicate') return place;
    if (place === 'restart') this.begin(this.#rate_Hz, this.#tick_Hz);
    this.first = this.#isFirst ? stamp.first : this.#next + this.lostSamples;
    this.lostPackets = (stamp.sequence - this.#nextSequence + U16) % U16;
    this.#next = this.first + stamp.n;
    this.#nextSequence = (stamp.sequence + 1) % U16;
    this.#ticks = stamp.ticks;
    this.#isFirst = false;
    const slot = 2 * (this.#nSeen % REMEMBERED);
    this.#seen[slot] = stamp.first;
    this.#seen[slot + 1] = stamp.crc;
    this.#nSeen += 1;
    this.#lastN = stamp.n;
    return place;
  }

  #judge(stamp: PacketStamp): PacketPlace {
    const jump = (stamp.first - this.#next) | 0;
    if (jump < 0) return this.#hasSeen(stamp) ? 'duplicate' : 'restart';
    const samples = this.#lastN + jump;
    const expected = (samples * this.#tick_Hz) / this.#rate_Hz;
    const excess = signedModulo(stamp.ticks - this.#ticks - expected, U32);
    if (jump > MAX_HOLE_S * this.#rate_Hz) return 'restart';
    if (jump > 0) {
      const tolerance = HOLE_TOLERANCE_S * this.#tick_Hz + HOLE_TOLERANCE_RATIO * expected;
      if (Math.abs(excess) > tolerance) return 'restart';
    }
    this.lostSamples = jump;
    this.#compareRate(samples, expected + excess);
    return jump > 0 ? 'hole' : 'next';
  }

  #compareRate(samples: number, ticks: number): void {
    this.#spanSamples += samples;
    this.#spanTicks += ticks;
    if (this.#spanSamples < RATE_SPAN_S * this.#rate_Hz) return;
    const ticked_Hz = (this.#spanSamples * this.#tick_Hz) / this.#spanTicks;
    const isOff = Math.abs(ticked_Hz / this.#rate_Hz - 1) > RATE_TOLERANCE;
    if (isOff) this.contradiction_Hz = ticked_Hz;
    this.#spanSamples = 0;
    this.#spanTicks = 0;
  }

  /** The very same packet, told by its index and its checksum. */
  #hasSeen(stamp: PacketStamp): boolean {
    for (let k = 0; k < Math.min(this.#nSeen, REMEMBERED); k += 1) {
      if (this.#seen[2 * k] === stamp.first && this.#seen[2 * k + 1] === stamp.crc) return true;
    }
    return false;
  }
}

function signedModulo(value: number, modulus: number): number {
  const rest = value - Math.floor(value / modulus) * modulus;
  return rest < modulus / 2 ? rest : rest - modulus;
}
