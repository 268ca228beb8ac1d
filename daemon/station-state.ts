/** The whole state of a station as it is told: gathered from its parts at the moment it is asked for. */
import type { BehaviorSubject } from 'rxjs';
import type { Setup, StationState } from '../shared/wire/events.ts';
import { wallClock } from './clock.ts';
import type { Live } from './pipeline/live.ts';
import type { PreparationDesk } from './preparation/desk.ts';
import type { RunDesk } from './run/desk.ts';
import type { Feed } from './sources/supervise.ts';
import type { Notices } from './station-notices.ts';
import type { RecordingDesk } from './station-recording.ts';

export interface StateSources {
  readonly version: string;
  readonly stationName: () => string;
  readonly stated: { readonly setup: Setup };
  readonly feed$: BehaviorSubject<Feed>;
  readonly live: Live;
  readonly desk: RecordingDesk;
  readonly preparation: PreparationDesk;
  readonly run: RunDesk;
  readonly notices: Notices;
}

export function stateOf(parts: StateSources): StationState {
  const { version, stationName, stated, feed$, live, desk, preparation, run, notices } = parts;
  return {
    station: stationName(),
    version,
    now: wallClock().toISOString(),
    source: feed$.value.status(),
    columns: live.shape.columns,
    recording: desk.status,
    setup: stated.setup,
    preparation: preparation.state,
    run: run.view,
    faults: notices.faults,
    flags: notices.flags,
  };
}
