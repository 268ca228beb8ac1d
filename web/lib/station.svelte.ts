/**
 * The station as this page sees it: the daemon's state, the ledger, and how old the data are by the
 * page's own judgement. Samples stay in typed arrays outside the runes.
 */
import { patternById } from '../../shared/joints/index.ts';
import type { JointPattern } from '../../shared/joints/pattern.ts';
import { decodeLiveBlock, type LiveBlock } from '../../shared/wire/block-codec.ts';
import type { Ledger, RecordingStatus, StationState } from '../../shared/wire/events.ts';
import { DataAge, type Freshness } from './data-age.ts';
import { onFrame } from './frames.ts';
import { openLink, type Link } from './link.ts';
import { parseLiveEvent } from './message.ts';
import { Ring } from './ring.ts';

/** Sheets of history, so that earlier sheets of a set can be turned back to, and loops are whole. */
const SHEETS = 8;
/** The last samples before a reload reach the disk within a second: asked for at once, then again. */
const CATCH_UP_MS = [0, 700, 1500];
/** Rate assumed for the ring's size before the first state names one. */
const USUAL_RATE_HZ = 1000;

/** `opening`: no answer yet; `gone`: the daemon does not answer; else what the data are. */
export type Health = 'opening' | 'gone' | Freshness;

export class Station {
  state = $state.raw<StationState | null>(null);
  ledger = $state.raw<Ledger | null>(null);
  health = $state<Health>('opening');
  /** Seconds since the newest sample, in steps of 0.1. */
  silence_s = $state(0);
  /** Seconds since the daemon last answered, and attempts since. */
  gone_s = $state(0);
  tries = $state(0);
  /** Goes up ten times a second: what shows a clock reads it. */
  beat = $state(0);
  /** Samples that this page was not sent since it opened, in seconds. */
  unseen_s = $state(0);
  ring: Ring | null = null;
  /** Where the recording under way began in the stream; null when nothing is recorded. */
  recordingFirst: number | null = null;
  private readonly age = new DataAge();
  private readonly stopFrames: () => void;
  private readonly link: Link;
  private isOpen = false;
  private goneSince_ms = performance.now();
  private skew_ms = 0;
  /** Id of the recording whose beginning is known. */
  private followed = '';

  constructor() {
    this.stopFrames = onFrame((now_ms) => this.tick(now_ms));
    this.link = openLink('/live', {
      opened: () => this.opened(),
      closed: (tries) => this.closed(tries),
      text: (text) => this.read(text),
      bytes: (bytes) => this.take(bytes),
    });
  }

  get pattern(): JointPattern | undefined {
    return this.state ? patternById(this.state.setup.pattern) : undefined;
  }

  get recording(): RecordingStatus | null {
    return this.state?.recording ?? null;
  }

  /** True while curves and numbers on the page are old. */
  get isOld(): boolean {
    return this.health === 'stale' || this.health === 'lost' || this.health === 'gone';
  }

  /** The station's wall clock now; the clock of this screen may be wrong. */
  now(): Date {
    // eslint-disable-next-line svelte/prefer-svelte-reactivity -- a moment, never changed
    return new Date(Date.now() + this.skew_ms);
  }

  /** Wall clock of a moment of the stream, by the newest sample's. */
  clockOf(time_s: number): Date {
    const newest_s = this.ring && this.ring.end > 0 ? this.ring.end / this.ring.rate_Hz : time_s;
    const ago_ms = (newest_s - time_s + this.silence_s) * 1000;
    // eslint-disable-next-line svelte/prefer-svelte-reactivity -- a moment, never changed
    return new Date(this.now().getTime() - ago_ms);
  }

  close(): void {
    this.stopFrames();
    this.link.close();
  }

  private opened(): void {
    this.isOpen = true;
    this.tries = 0;
    this.age.rejoin(performance.now());
  }

  private closed(tries: number): void {
    if (this.isOpen) this.goneSince_ms = performance.now();
    this.isOpen = false;
    this.tries = tries;
  }

  private read(text: string): void {
    const event = parseLiveEvent(text);
    if (event?.type === 'state') this.enter(event.state);
    else if (event?.type === 'ledger') this.ledger = event.ledger;
    else if (event) {
      this.ring?.leftOut(event.from, event.to);
      this.unseen_s += (event.to - event.from) / (this.ring?.rate_Hz || USUAL_RATE_HZ);
    }
  }

  private enter(state: StationState): void {
    this.skew_ms = Date.parse(state.now) - Date.now();
    this.age.join(state.source.silence_ms, performance.now());
    const names = state.columns.map((column) => column.name);
    const rate_Hz = state.source.rate_Hz ?? USUAL_RATE_HZ;
    const wanted = state.setup.sheet_s * rate_Hz * SHEETS;
    const isSame = this.ring !== null && this.ring.names.join() === names.join();
    if (!isSame || (this.ring && this.ring.capacity < Math.min(wanted, 2 ** 22))) {
      this.ring = new Ring(names, wanted);
    }
    this.follow(state.recording);
    this.state = state;
  }

  /** A page that comes later counts back from the newest sample, then asks for what it missed. */
  private follow(recording: RecordingStatus | null): void {
    const end = this.ring?.end ?? -1;
    if (!recording) this.recordingFirst = null;
    else if (end > 0 && recording.id !== this.followed) {
      this.followed = recording.id;
      this.recordingFirst = Math.max(0, end - recording.samples);
      if (this.recordingFirst < (this.ring?.begin ?? 0)) void this.catchUp(recording.id);
    }
  }

  private async catchUp(id: string): Promise<void> {
    const { fetchHistory, firstOfRecording } = await import('./history.ts');
    const first = await firstOfRecording(id);
    if (first !== null && this.recording?.id === id) this.recordingFirst = first;
    const gravity = this.state?.preparation.weighed?.gravity ?? { kind: 'none' };
    for (const wait_ms of CATCH_UP_MS) {
      await new Promise((resolve) => setTimeout(resolve, wait_ms));
      const { ring, recordingFirst } = this;
      if (!ring || recordingFirst === null || this.recording?.id !== id) return;
      if (ring.begin <= recordingFirst) return;
      const block = await fetchHistory(id, ring, recordingFirst, gravity);
      if (block && block.index + block.n * block.step >= ring.begin - block.step) {
        ring.backfill(block);
      }
    }
  }

  private take(bytes: ArrayBuffer): void {
    const block = decodeLiveBlock(bytes);
    if (!block) return;
    const now_ms = performance.now();
    this.age.note(block.arrival_ms, now_ms, blockMs(block));
    this.ring?.push(block);
    this.link.send(JSON.stringify({ ack: block.index }));
  }

  private tick(now_ms: number): void {
    const age_ms = this.age.age_ms(now_ms);
    this.beat = Math.floor(now_ms / 100);
    this.silence_s = Math.floor((age_ms ?? 0) / 100) / 10;
    if (this.isOpen) this.health = this.state ? this.age.freshness(now_ms) : 'opening';
    else {
      this.gone_s = Math.floor((now_ms - this.goneSince_ms) / 100) / 10;
      this.health = this.state || this.gone_s > 1 ? 'gone' : 'opening';
    }
  }
}

function blockMs(block: LiveBlock): number {
  return (1000 * block.n * block.step) / block.rate_Hz;
}
