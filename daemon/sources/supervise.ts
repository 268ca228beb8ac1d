/**
 * A source made dependable: open -> find the format -> decode -> place on the stream's index.
 * Whatever happens to the device is a state and a fault; it is tried again for ever and never ends
 * the program. Blocks are handed on as they come; nothing is kept here.
 */
import type { Observable } from 'rxjs';
import type { StreamBlock } from '../../shared/block/block.ts';
import type { Timeline } from '../../shared/block/timeline.ts';
import type { DecoderHints } from '../../shared/decode/index.ts';
import type { Fault } from '../../shared/faults.ts';
import type { SourceStatus } from '../../shared/wire/events.ts';
import type { Wiring } from '../../shared/wiring/schema.ts';
import { monotonic_ns, wallClock } from '../clock.ts';
import type { Source, SourceUrl } from './index.ts';
import { SupervisedSource } from './supervise-source.ts';

export interface FeedClock {
  monotonic_ns(): number;
  wallClock(): Date;
}

export interface FeedOptions {
  readonly url: SourceUrl;
  /** What the wiring knows of a device; the URL's own options come before it. */
  readonly hints?: DecoderHints;
  readonly clock?: FeedClock;
  /** The URL's own when left out. */
  readonly source?: Source;
}

export interface Feed {
  /** Hot; in order, on an index that never decreases. */
  readonly blocks$: Observable<StreamBlock>;
  /** Hot; at most four a second per code. */
  readonly faults$: Observable<Fault>;
  /** The present status at once, then one on each change of state, words or format. */
  readonly status$: Observable<SourceStatus>;
  status(): SourceStatus;
  /** The wiring that belongs to the source itself (the demo's); null for a device. */
  readonly ownWiring: Wiring | null;
  readonly measuredRate_Hz: number | null;
  /** Host times along the stream. */
  readonly anchors: Timeline['anchors'];
  /** Ends the connection and all observables; may be called twice. */
  close(): Promise<void>;
}

export function createFeed(options: FeedOptions): Feed {
  return new SupervisedSource({ clock: { monotonic_ns, wallClock }, ...options });
}
