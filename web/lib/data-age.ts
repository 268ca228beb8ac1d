/**
 * How old the newest sample is, judged by the page itself: neither the daemon's word nor the arrival
 * of some message proves that data flow. Catches a slow link too, by the daemon's own stamps.
 */

/** Curves and numbers are old after this long, or after three blocks where blocks are longer. */
export const STALE_MS = 250;
/** The page says that the signal is lost, and what is being tried. */
export const LOST_MS = 1000;
/** Two clocks may drift apart by this much before a slow link is mistaken for drift, or drift for it. */
const DRIFT_PER_MS = 2e-4;

export type Freshness = 'none' | 'fresh' | 'stale' | 'lost';

export class DataAge {
  private offset_ms = 0;
  private newest_ms = Number.NaN;
  private noted_ms = 0;
  private block_ms = 0;
  /** True while the age stems from words, not from a stamp of the daemon's clock. */
  private isByWord = true;

  /** A block that the daemon stamped `arrival_ms` reached the page at `now_ms` of the page's clock. */
  note(arrival_ms: number, now_ms: number, block_ms: number): void {
    const widened = this.offset_ms + DRIFT_PER_MS * (now_ms - this.noted_ms);
    const seen = now_ms - arrival_ms;
    this.offset_ms = this.isByWord ? seen : Math.min(widened, seen);
    this.isByWord = false;
    this.newest_ms = arrival_ms;
    this.noted_ms = now_ms;
    this.block_ms = block_ms;
  }

  /** What the station said on joining: the newest sample was `silence_ms` old at `now_ms`. */
  join(silence_ms: number | null, now_ms: number): void {
    if (silence_ms === null || !Number.isNaN(this.newest_ms)) return;
    this.set(silence_ms, now_ms);
  }

  /** A new connection may lead to a daemon with another clock: the age so far is carried over. */
  rejoin(now_ms: number): void {
    const age_ms = this.age_ms(now_ms);
    if (age_ms !== null) this.set(age_ms, now_ms);
  }

  private set(age_ms: number, now_ms: number): void {
    this.offset_ms = 0;
    this.newest_ms = now_ms - age_ms;
    this.noted_ms = now_ms;
    this.isByWord = true;
  }

  /** Null before the first sample. */
  age_ms(now_ms: number): number | null {
    if (Number.isNaN(this.newest_ms)) return null;
    return Math.max(0, now_ms - this.newest_ms - this.offset_ms);
  }

  freshness(now_ms: number): Freshness {
    const age = this.age_ms(now_ms);
    if (age === null) return 'none';
    const limit = Math.max(STALE_MS, 3 * this.block_ms);
    if (age <= limit) return 'fresh';
    return age <= Math.max(LOST_MS, limit) ? 'stale' : 'lost';
  }
}
