/**
 * What is known of the source right now: its state by the age of the newest sample, and its counts.
 * Counts go on over reconnects. It reads no clock; time is handed in.
 */
import type { StreamBlock } from '../../shared/block/block.ts';
import type { SourceState, SourceStatus } from '../../shared/wire/events.ts';

/** Older data than this are stale, but never before three blocks could have come. */
const STALE_NS = 250e6;
const STALE_BLOCKS = 3;
const LOST_NS = 1e9;
/** Samples at the converter's ends are counted over the last second, in tenths. */
const CLIP_SLOTS = 10;
const CLIP_SLOT_NS = 100e6;

/** Said while there is nothing more exact to say. */
const WORDS: Readonly<Record<SourceState, string>> = {
  live: '',
  connecting: 'Waiting for the first samples.',
  stale: 'No new samples arrive.',
  lost: 'No samples arrive any more.',
};

/** Where the connection stands: trying, open, or ended and not tried again yet. */
type Phase = 'opening' | 'open' | 'ended';

export class Vitals {
  samples = 0;
  gaps = 0;
  lostSamples = 0;
  /** Of the connections before; the listener counts the present one. */
  damagedBefore = 0;
  tries = 0;
  /** Index after the newest sample; -1 before the first. */
  next = -1;
  #phase: Phase = 'opening';
  #detail = '';
  #open_ns = 0;
  #arrival_ns: number | null = null;
  /** Samples arrived since this connection was opened. */
  #isFlowing = false;
  #block_ns = 0;
  #rate_Hz: number | null = null;
  #integrity: 'crc32' | 'text' | '' = '';
  readonly #clipped = new Int32Array(CLIP_SLOTS);
  #clipSlot = 0;

  trying(): void {
    this.#phase = 'opening';
    this.tries += 1;
  }

  opened(now_ns: number): void {
    this.#phase = 'open';
    this.#open_ns = now_ns;
    this.#isFlowing = false;
    this.#detail = '';
    this.tries = 0;
  }

  /** The connection ended, or could not be opened: why, in a sentence. */
  ended(detail: string): void {
    this.#phase = this.#phase === 'open' ? 'ended' : 'opening';
    this.#detail = detail;
  }

  block(block: StreamBlock): void {
    if (this.next >= 0 && block.index !== this.next) {
      this.gaps += 1;
      this.lostSamples += block.index - this.next;
    }
    this.next = block.index + block.n;
    this.samples += block.n;
    this.#rate_Hz = block.format.rate_Hz;
    this.#integrity = block.format.integrity;
    this.#block_ns = (block.n / block.format.rate_Hz) * 1e9;
    this.#arrival_ns = block.arrival_ns;
    this.#isFlowing = true;
    this.#clipped[this.#slotAt(block.arrival_ns)] += clippedIn(block);
  }

  /** Nanoseconds since the newest sample of this connection, or since it was opened. */
  silence_ns(now_ns: number): number {
    const since = this.#isFlowing ? (this.#arrival_ns ?? now_ns) : this.#open_ns;
    return now_ns - since;
  }

  get isOpen(): boolean {
    return this.#phase === 'open';
  }

  state(now_ns: number): SourceState {
    if (this.#phase === 'opening') return 'connecting';
    if (this.#phase === 'ended') return 'lost';
    const silence_ns = this.silence_ns(now_ns);
    if (silence_ns > LOST_NS) return 'lost';
    if (!this.#isFlowing) return 'connecting';
    return silence_ns > Math.max(STALE_NS, STALE_BLOCKS * this.#block_ns) ? 'stale' : 'live';
  }

  /** What is known here; the rest is the feed's. */
  status(now_ns: number) {
    const state = this.state(now_ns);
    this.#slotAt(now_ns);
    const silence_ms = this.#arrival_ns === null ? null : (now_ns - this.#arrival_ns) / 1e6;
    return {
      state,
      rate_Hz: this.#rate_Hz,
      samples: this.samples,
      gaps: this.gaps,
      lostSamples: this.lostSamples,
      silence_ms,
      tries: this.tries,
      detail: state === 'live' ? '' : this.#detail || WORDS[state],
      integrity: this.#integrity,
      clipped: this.#clipped.reduce((sum, count) => sum + count, 0),
    } as const satisfies Partial<SourceStatus>;
  }

  /** Says why an open connection gives no samples. */
  explain(detail: string): void {
    this.#detail = detail;
  }

  /** The tenth of a second this is in; those that passed since the last call are emptied. */
  #slotAt(now_ns: number): number {
    const slot = Math.floor(now_ns / CLIP_SLOT_NS);
    const passed = Math.min(slot - this.#clipSlot, CLIP_SLOTS);
    for (let k = 1; k <= passed; k += 1) this.#clipped[(this.#clipSlot + k) % CLIP_SLOTS] = 0;
    this.#clipSlot = Math.max(this.#clipSlot, slot);
    return this.#clipSlot % CLIP_SLOTS;
  }
}

/** Values at the ends of the converter, over all channels that state them. */
function clippedIn({ format, columns, n }: StreamBlock): number {
  let count = 0;
  format.channels.forEach(({ rawMin = -Infinity, rawMax = Infinity }, c) => {
    if (rawMin === -Infinity && rawMax === Infinity) return;
    const column = columns[c];
    for (let i = 0; i < n; i += 1) if (column[i] <= rawMin || column[i] >= rawMax) count += 1;
  });
  return count;
}
