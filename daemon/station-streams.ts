/**
 * The streams of a station: blocks of whichever feed is open, what happened, and what people changed.
 * Composed here once; one event a block, nothing waits, and trouble travels as data.
 */
import { interval, merge, share, Subscription, switchMap, throttleTime } from 'rxjs';
import type { StreamBlock } from '../shared/block/block.ts';
import type { Fault } from '../shared/faults.ts';
import { isOver } from '../shared/session/lane.ts';
import { monotonic_ns } from './clock.ts';
import type { Log } from './log.ts';
import { createLaneFeed } from './pipeline/lane-feed.ts';
import type { Live, LiveResult } from './pipeline/live.ts';
import type { StationParts } from './station.ts';

/** How often the whole state is told when nothing in it changed but ages and counts. */
const STATE_EVERY_ms = 250;
/** Changes that come together are told together. */
const GATHER_ms = 25;

/** One `share` of the blocks; who listens first comes first. */
export function connect(parts: StationParts): Subscription {
  const { feed$, changed$, notices, hub, live, desk, stated, state, log } = parts;
  const lane = createLaneFeed((event) => hub.tellSubject(event));
  const tellLane = (): void => {
    const { state: source } = feed$.value.status();
    const now = { progress: live.progress, setup: stated.setup, source, run: parts.run.lane };
    lane.update(now, monotonic_ns());
  };
  let told = live.shape;
  const tellState = (): void => {
    told = live.shape;
    hub.tellStation({ type: 'state', state: state() });
  };
  const note = (fault: Fault): void => {
    notices.addFault(fault);
    desk.event('fault', fault.at, { ...fault });
    changed$.next();
  };

  // Of whichever feed is open: blocks, and what happened.
  const blocks$ = feed$.pipe(
    switchMap((feed) => feed.blocks$),
    share(),
  );
  const faults$ = feed$.pipe(switchMap((feed) => feed.faults$));
  const status$ = feed$.pipe(switchMap((feed) => feed.status$));

  const subscriptions = new Subscription();
  // The recorder comes first: a block is on its way to the disk before anybody computes with it.
  subscriptions.add(blocks$.subscribe((raw) => desk.write(raw)));
  const looksOn = <T>(look: (value: T) => void) => guarded(log, look);
  subscriptions.add(blocks$.subscribe(looksOn((raw) => parts.preparation.observeRaw(raw))));
  const look = (raw: StreamBlock): void => {
    const result = computed(live, raw);
    if (live.shape !== told) {
      // A client must know what the columns are before it sees them.
      for (const detail of live.shape.troubles) note(wiringFault(raw.index, detail));
      tellState();
    }
    if (!result) return;
    const { block, flags, isPhaseEnd } = result;
    desk.observe(block);
    parts.preparation.observe(block);
    hub.sendBlock({
      ...block,
      arrival_ms: raw.arrival_ns / 1e6,
      columns: [...block.columns.values()],
    });
    for (const flag of flags) {
      notices.addFlag(flag);
      desk.event('flag', flag.start_s * block.rate_Hz, { ...flag });
      changed$.next();
    }
    if (isPhaseEnd) desk.phaseEnded();
    // Without a recording nobody says where a set begins: practice after a full one is another.
    if (desk.status === null && isOver(live.progress, stated.setup)) live.restart();
    parts.run.tick();
    tellLane();
  };
  subscriptions.add(blocks$.subscribe(looksOn(look)));
  subscriptions.add(faults$.subscribe(looksOn(note)));
  subscriptions.add(
    merge(status$, changed$, interval(STATE_EVERY_ms))
      .pipe(throttleTime(GATHER_ms, undefined, { leading: true, trailing: true }))
      .subscribe(
        looksOn(() => {
          parts.run.tick();
          tellState();
          tellLane();
        }),
      ),
  );
  return subscriptions;
}

/**
 * What looks on may make a mistake: it costs what it would have shown of this block, never the
 * recording, which an error that nobody catches would end. Told once as long as it stays the same.
 */
export function guarded<T>(log: Log, look: (value: T) => void): (value: T) => void {
  let told = '';
  return (value) => {
    try {
      look(value);
    } catch (error) {
      const reason = error instanceof Error ? (error.stack ?? error.message) : String(error);
      if (reason !== told) log('error', 'something that looks on failed', { reason });
      told = reason;
    }
  };
}

/** After a mistake in the computation it is built anew. */
function computed(live: Live, raw: StreamBlock): LiveResult | null {
  try {
    return live.push(raw);
  } catch (error) {
    live.changeWiring();
    throw error;
  }
}

function wiringFault(at: number, detail: string): Fault {
  return { code: 'wiringMismatch', at, detail: detail.slice(0, 200), count: 1 };
}
