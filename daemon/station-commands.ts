/**
 * What people do with a station, from a page or a script: each command changes what was stated, or the
 * recording, and says that something changed. None waits for the stream.
 */
import type { Subscription } from 'rxjs';
import type { Setup } from '../shared/wire/events.ts';
import { presetRecipe } from '../shared/recipe/presets.ts';
import { parseWiring } from '../shared/wiring/wiring.ts';
import { UsageError } from './cli/command.ts';
import { parseSourceUrl } from './sources/url.ts';
import type { Station, StationParts } from './station.ts';
import type { Surroundings } from './station-recording.ts';

/** A shutdown leaves the disk this long. */
const CLOSE_PATIENCE_ms = 1_000;

export function commandsOf(parts: StationParts, subscriptions: Subscription): Station {
  const { stated, feed$, changed$, notices, hub, live, desk, keeper, thread } = parts;

  /** Another source, or the same read in another way, is a new stream. */
  const reopen = async (): Promise<void> => {
    const old = feed$.value;
    feed$.next(parts.openFeed());
    live.changeWiring();
    changed$.next();
    await old.close();
  };

  return {
    version: parts.version,
    hub,
    archive: parts.archive,
    ...{ preparation: parts.preparation, run: parts.run, access: parts.access },
    get wiring() {
      return parts.wiringInUse();
    },
    state: parts.state,
    async changeSetup(setup: Setup) {
      stated.setup = setup;
      live.changeSetup();
      parts.preparation.renew();
      changed$.next();
      await keeper.write({ setup });
      return setup;
    },
    async changeSource(text) {
      try {
        stated.source = parseSourceUrl(text);
      } catch (error) {
        if (error instanceof UsageError) return error.message;
        throw error;
      }
      await reopen();
      return null;
    },
    async changeWiring(input) {
      const parsed = input === null ? { wiring: null } : parseWiring(input);
      if ('problems' in parsed) return parsed.problems;
      stated.wiring = parsed.wiring;
      await reopen();
      return [];
    },
    async startRecording(name) {
      live.restart();
      const refused = await desk.begin({
        name,
        setup: stated.setup,
        measured: () => live.shape.measured,
        surroundings: surroundingsOf(parts),
      });
      changed$.next();
      return refused;
    },
    async stopRecording(reason) {
      const stopped = await desk.end(reason);
      changed$.next();
      return stopped;
    },
    mark(text) {
      const index = live.nextIndex;
      return desk.event('marker', index, { text }) ? index : null;
    },
    acknowledgeFlag(id) {
      const isKnown = notices.acknowledge(id);
      changed$.next();
      return isKnown;
    },
    async close(reason) {
      await desk.end(reason, CLOSE_PATIENCE_ms);
      await feed$.value.close();
      subscriptions.unsubscribe();
      hub.close('the station is closing');
      // What was recorded last gets its results, if they are ready before the patience is over.
      await desk.settled();
      await thread.close();
      parts.archive.close();
    },
  };
}

/** What was known when a recording began, beyond what is being tested. */
function surroundingsOf(parts: StationParts): Surroundings {
  const { feed$, live, stated, version } = parts;
  const { url, kind, format: wireFormat } = feed$.value.status();
  const { format } = live.shape;
  return {
    software: `momentarm ${version}`,
    station: parts.state().station,
    source: { url, kind, format: wireFormat },
    stream: format && { ...format, channels: [...format.channels], notes: { ...format.notes } },
    wiring: parts.wiringInUse(),
    ...parts.preparation.stated,
    recipe: { ...presetRecipe(stated.setup) },
  };
}
