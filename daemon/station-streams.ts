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
  subscriptions.add(blocks$.subscribe((raw) => parts.preparation.observeRaw(raw)));
  subscriptions.add(
    blocks$.subscribe((raw) => {
      const result = computed(live, raw, log);
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
    }),
  );
  subscriptions.add(faults$.subscribe(note));
  subscriptions.add(
    merge(status$, changed$, interval(STATE_EVERY_ms))
      .pipe(throttleTime(GATHER_ms, undefined, { leading: true, trailing: true }))
      .subscribe(() => {
        parts.run.tick();
        tellState();
        tellLane();
      }),
  );
  return subscriptions;
}

/** A mistake in the computation costs this block's numbers, never the recording. */
function computed(live: Live, raw: StreamBlock, log: Log): LiveResult | null {
  try {
    return live.push(raw);
  } catch (error) {
    log('error', 'live computation failed', { reason: String(error), index: raw.index });
    live.changeWiring();
    return null;
  }
}

function wiringFault(at: number, detail: string): Fault {
  return { code: 'wiringMismatch', at, detail: detail.slice(0, 200), count: 1 };
}
