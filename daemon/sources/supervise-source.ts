/** The feed of one source: its decoder, timeline, counts and faults, over all its connections. */
import { BehaviorSubject, Subject } from 'rxjs';
import type { RawBlock, StreamBlock } from '../../shared/block/block.ts';
import { createTimeline, type Timeline } from '../../shared/block/timeline.ts';
import type { DecoderHints } from '../../shared/decode/index.ts';
import type { Fault, FaultCode } from '../../shared/faults.ts';
import type { SourceStatus } from '../../shared/wire/events.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
import { sourceById, type SourceUrl } from './index.ts';
import { keepConnected, type ConnectionEvents, type Keeper } from './supervise-connect.ts';
import { createFaultGate } from './supervise-faults.ts';
import { createListener, type Listener } from './supervise-format.ts';
import { Vitals } from './supervise-status.ts';
import type { Feed, FeedClock, FeedOptions } from './supervise.ts';
import { hintsOf, publicText } from './url-wire.ts';

/** Partial blocks are handed on after one to two of these; states are looked at as often. */
const TICK_ms = 20;
/** A connection that gives nothing is opened anew: longer than a board takes to start (about 2 s) ... */
const REOPEN_AFTER_NS = 5e9;
/** ... and every time twice as long, because opening restarts many boards. */
const REOPEN_AT_MOST_NS = 60e9;
/** Device and host disagree by more than any crystal does: the announced rate is wrong. */
const RATE_OFF_PPM = 5000;
/** Bytes that came longer ago do not arrive any more. */
const SILENT_NS = 1e9;
/** Looking at what arrives to say why it is unreadable takes a millisecond. */
const EXPLAIN_EVERY_NS = 500e6;

const KINDS: Readonly<Record<string, SourceStatus['kind']>> = {
  demo: 'simulated',
  replay: 'replay',
};

export class SupervisedSource implements Feed {
  readonly blocks$ = new Subject<StreamBlock>();
  readonly faults$ = new Subject<Fault>();
  readonly status$: BehaviorSubject<SourceStatus>;
  readonly ownWiring: Wiring | null;
  readonly #url: SourceUrl;
  readonly #hints: DecoderHints;
  readonly #clock: FeedClock;
  readonly #kind: SourceStatus['kind'];
  readonly #timeline = createTimeline();
  readonly #vitals = new Vitals();
  readonly #gate = createFaultGate((fault) => this.faults$.next(fault));
  readonly #stop = new AbortController();
  readonly #timer: NodeJS.Timeout;
  readonly #keeper: Keeper;
  /** Of the present connection. */
  #listener: Listener;
  #hasToldSilence = false;
  #hasToldRate = false;
  /** Runs are counted on over reconnects: run 0 of this connection is this one. */
  #firstRun = 0;
  #nextRun = 0;
  /** Of the bytes that are being decoded. */
  #arrival_ns = 0;
  #lastSampleAt: Date | null = null;
  #hasNewBlock = false;
  #lastMissing = '';
  #reopenAfter_ns = REOPEN_AFTER_NS;
  #explainAgain_ns = 0;
  #told = '';

  constructor({ url, hints = {}, clock, source }: FeedOptions & { readonly clock: FeedClock }) {
    const from = source ?? sourceById(url.id);
    if (from === undefined) throw new Error(`no source ${url.id}`);
    this.#url = url;
    this.#clock = clock;
    this.#kind = KINDS[url.id] ?? 'device';
    this.#hints = this.#kind === 'device' ? { ...hints, ...hintsOf(url) } : hints;
    this.#listener = this.#listen();
    this.ownWiring = from.wiring?.(url) ?? null;
    this.status$ = new BehaviorSubject(this.status());
    this.#timer = setInterval(() => this.#tick(), TICK_ms);
    this.#keeper = keepConnected(from, url, this.#connectionEvents(), this.#stop.signal);
  }

  get measuredRate_Hz(): number | null {
    return this.#timeline.measuredRate_Hz;
  }

  get anchors(): Timeline['anchors'] {
    return this.#timeline.anchors;
  }

  status(): SourceStatus {
    const { counts, format } = this.#listener;
    return {
      ...this.#vitals.status(this.#clock.monotonic_ns()),
      url: publicText(this.#url),
      kind: this.#kind,
      damaged: this.#vitals.damagedBefore + (counts?.damagedFrames ?? 0),
      lastSampleAt: this.#lastSampleAt?.toISOString() ?? null,
      format,
      drift_ppm: this.#timeline.drift_ppm,
    };
  }

  async close(): Promise<void> {
    clearInterval(this.#timer);
    this.#stop.abort();
    await this.#keeper.ended;
    this.#gate.end();
    this.blocks$.complete();
    this.faults$.complete();
    this.status$.complete();
  }

  #connectionEvents(): ConnectionEvents {
    const vitals = this.#vitals;
    let samplesBefore = 0;
    return {
      trying: () => {
        vitals.trying();
        this.#tellStatus();
      },
      opened: () => {
        samplesBefore = vitals.samples;
        vitals.opened(this.#clock.monotonic_ns());
        this.#lastMissing = '';
        this.#tellStatus();
      },
      bytes: (bytes, arrival_ns) => {
        this.#arrival_ns = arrival_ns;
        this.#listener.push(bytes);
      },
      failed: (reason) => {
        vitals.ended(reason);
        if (reason !== this.#lastMissing) this.#report('sourceMissing', reason, 1);
        this.#lastMissing = reason;
        this.#tellStatus();
      },
      ended: (reason) => {
        this.#listener.flush();
        if (!this.#stop.signal.aborted) this.#report('sourceLost', reason, 1);
        vitals.ended(reason);
        this.#renew();
        this.#tellStatus();
        return { wasUseful: vitals.samples > samplesBefore };
      },
    };
  }

  /** Everything that belongs to one connection begins anew. */
  #renew(): void {
    this.#vitals.damagedBefore += this.#listener.counts?.damagedFrames ?? 0;
    this.#firstRun = this.#nextRun;
    this.#listener = this.#listen();
    this.#timeline.reconnect();
    this.#hasToldSilence = false;
    this.#hasToldRate = false;
  }

  #listen(): Listener {
    const { id, options } = this.#url;
    const baud = options['baud'] ?? 'the found one';
    return createListener({
      format: options['format'],
      hints: this.#hints,
      suspicion: id === 'serial' ? `; is the baud rate (${baud}) right?` : '',
      sink: {
        block: (block) => this.#place(block),
        fault: (code, detail, count) => this.#report(code, detail, count),
      },
    });
  }

  #place(raw: RawBlock): void {
    const run = this.#firstRun + raw.run;
    const block = this.#timeline.place({ ...raw, run }, this.#arrival_ns);
    this.#nextRun = run + 1;
    this.#hasNewBlock = true;
    this.#lastSampleAt = this.#clock.wallClock();
    this.#reopenAfter_ns = REOPEN_AFTER_NS;
    this.#hasToldSilence = false;
    this.#vitals.block(block);
    this.blocks$.next(block);
  }

  #report(code: FaultCode, detail: string, count: number): void {
    this.#gate.report({ code, detail, count, at: this.#vitals.next }, this.#clock.monotonic_ns());
  }

  #tick(): void {
    const now_ns = this.#clock.monotonic_ns();
    if (!this.#hasNewBlock) this.#listener.flush();
    this.#hasNewBlock = false;
    const isSilent = this.#vitals.isOpen && this.#vitals.state(now_ns) === 'lost';
    if (isSilent && now_ns >= this.#explainAgain_ns) this.#explainSilence(now_ns);
    const drift_ppm = this.#timeline.drift_ppm ?? 0;
    if (this.#kind === 'device' && Math.abs(drift_ppm) > RATE_OFF_PPM) this.#tellRate();
    this.#gate.tick(now_ns);
    this.#tellStatus();
  }

  /** The connection is open and gives no samples: why, and after some time a new one. */
  #explainSilence(now_ns: number): void {
    this.#explainAgain_ns = now_ns + EXPLAIN_EVERY_NS;
    const isArriving = now_ns - this.#arrival_ns < SILENT_NS;
    const trouble = isArriving ? this.#listener.trouble() : '';
    const detail = trouble === '' ? 'It is open, but nothing arrives.' : trouble;
    this.#vitals.explain(detail);
    if (!this.#hasToldSilence) {
      this.#report(trouble === '' ? 'sourceSilent' : 'sourceUnreadable', detail, 1);
    }
    this.#hasToldSilence = true;
    if (trouble !== '' || this.#kind !== 'device') return;
    if (this.#vitals.silence_ns(now_ns) < this.#reopenAfter_ns) return;
    const silence_s = Math.round(this.#reopenAfter_ns / 1e9);
    this.#reopenAfter_ns = Math.min(2 * this.#reopenAfter_ns, REOPEN_AT_MOST_NS);
    this.#keeper.reopen(`Nothing arrived for ${silence_s} s; it is opened anew.`);
  }

  #tellRate(): void {
    if (this.#hasToldRate) return;
    this.#hasToldRate = true;
    this.#report('rateOff', `measured ${this.measuredRate_Hz?.toFixed(1) ?? ''} Hz`, 1);
  }

  #tellStatus(): void {
    const status = this.status();
    const told = [status.state, status.detail, status.tries, status.format].join('|');
    if (told === this.#told) return;
    this.#told = told;
    this.status$.next(status);
  }
}
