/**
 * The composition root of a station, read top-down: feed -> recorder -> live computation -> hub.
 * Sources, pipeline and sinks meet here and nowhere else.
 */
import { BehaviorSubject, Subject } from 'rxjs';
import type { StopDocument } from '../shared/record/documents.ts';
import type { Ledger, Setup, StationState } from '../shared/wire/events.ts';
import type { Wiring } from '../shared/wiring/schema.ts';
import { decoderHints, parseWiring } from '../shared/wiring/wiring.ts';
import { wallClock } from './clock.ts';
import { createKeeper } from './config.ts';
import type { Log } from './log.ts';
import { createAnalysisThread } from './pipeline/analysis-thread.ts';
import { createLive } from './pipeline/live.ts';
import { createPreparationDesk, type PreparationDesk } from './preparation/desk.ts';
import { keepWiring, readKeptWiring } from './preparation/kept-wiring.ts';
import { type Access, openAccess } from './access/access.ts';
import type { RunDesk } from './run/desk.ts';
import { createHub, type Hub } from './sinks/hub.ts';
import type { SourceUrl } from './sources/index.ts';
import { replayFrom } from './sources/replay.ts';
import { createFeed, type Feed } from './sources/supervise.ts';
import { commandsOf } from './station-commands.ts';
import { openArchive, type Archive } from './station-archive.ts';
import { createNotices } from './station-notices.ts';
import { createRecordingDesk } from './station-recording.ts';
import { openRun } from './station-run.ts';
import { stateOf } from './station-state.ts';
import { connect } from './station-streams.ts';
import { openStore } from './store/recordings.ts';

export interface StationOptions {
  readonly dataFolder: string;
  readonly source: SourceUrl;
  readonly wiring: Wiring | null;
  readonly version: string;
  readonly log: Log;
}

/** What the API does with a station. Refusals are told in words, never thrown. */
export interface Station {
  readonly version: string;
  readonly hub: Hub;
  readonly archive: Archive;
  readonly preparation: PreparationDesk;
  readonly run: RunDesk;
  readonly access: Access;
  readonly wiring: Wiring | null;
  state(): StationState;
  changeSetup(setup: Setup): Promise<Setup>;
  /** Why not, or null when it is being opened. */
  changeSource(url: string): Promise<string | null>;
  /** What is wrong with it; empty when it is in use. */
  changeWiring(input: unknown): Promise<readonly string[]>;
  /** Why not, or null when it has begun. */
  startRecording(name: string): Promise<string | null>;
  stopRecording(reason: string): Promise<StopDocument | null>;
  /** The stream index that was marked; null when nothing is being recorded. */
  mark(text: string): number | null;
  acknowledgeFlag(id: number): boolean;
  /** Closes the recording, the source and the clients. */
  close(reason: string): Promise<void>;
}

export type StationParts = Awaited<ReturnType<typeof createParts>>;

export async function openStation(options: StationOptions): Promise<Station> {
  const parts = await createParts(options);
  void recoverRecordings(options).then(() => parts.archive.sets.catchUp());
  const station = commandsOf(parts, connect(parts));
  parts.run.attach(station);
  return station;
}

async function createParts({ dataFolder, source, wiring, version, log }: StationOptions) {
  const keeper = createKeeper(dataFolder);
  const { setup } = await keeper.read();
  /** What people stated; everything else follows from it and the stream. */
  const given = { dataFolder, source: source.text, given: wiring };
  const stated = { setup, wiring: (await readKeptWiring(given)) ?? wiring, source };
  // What the wiring knows of the stream helps to read it; recordings are those of this folder.
  const openFeed = (): Feed =>
    createFeed({
      url: stated.source,
      hints: stated.wiring ? decoderHints(stated.wiring) : {},
      ...(stated.source.id === 'replay' && { source: replayFrom(dataFolder) }),
    });
  const feed$ = new BehaviorSubject(openFeed());
  const changed$ = new Subject<void>();
  const notices = createNotices(wallClock);
  const access = openAccess(dataFolder);
  const hub = createHub();
  const thread = createAnalysisThread();
  const wiringInUse = (): Wiring | null => stated.wiring ?? feed$.value.ownWiring;
  const live = createLive(() => ({
    setup: stated.setup,
    wiring: wiringInUse(),
    gravity: () => preparation.gravity,
    measuredRate_Hz: () => feed$.value.measuredRate_Hz,
  }));
  const trouble = (what: string, reason: string): void => log('warning', what, { reason });
  const current = (): string | null => desk.status?.id ?? null;
  const archive = await openArchive({ dataFolder, thread, current, trouble });
  const tellLedger = (ledger: Ledger): void => {
    hub.tellStation({ type: 'ledger', ledger });
    run.heard(ledger);
  };
  const desk = createRecordingDesk({
    dataFolder,
    thread,
    tell: tellLedger,
    fault: (fault) => {
      notices.addFault(fault);
      changed$.next();
    },
    trouble,
    changed: archive.changed,
  });
  const stationName = (): string => wiringInUse()?.station ?? 'Station';
  const preparation = createPreparationDesk({
    catalogue: archive.catalogue,
    setup: () => stated.setup,
    station: stationName,
    now: wallClock,
    isRecording: () => desk.status !== null,
    wiring: wiringInUse,
    useWiring: (calibrated) => calibrate(calibrated),
    gravityChanged: () => {
      live.changeGravity();
      changed$.next();
    },
  });
  /** The samples are the same, so the stream goes on; only what is made of them changes. */
  const calibrate = async (calibrated: Wiring): Promise<readonly string[]> => {
    const parsed = parseWiring(calibrated);
    if ('problems' in parsed) return parsed.problems;
    stated.wiring = parsed.wiring;
    live.changeWiring();
    changed$.next();
    await keepWiring({ ...given, source: stated.source.text }, parsed.wiring);
    return [];
  };
  const run = openRun({
    ...{ dataFolder, archive, thread, live, desk, current, trouble },
    setup: () => stated.setup,
    isLive: () => feed$.value.status().state === 'live',
    tell: tellLedger,
    changed: () => changed$.next(),
  });
  const told = { version, stationName, stated, feed$, live, desk, preparation, run, notices };
  const state = (): StationState => stateOf(told);
  return {
    ...{ version, keeper, stated, openFeed, feed$, changed$, notices, hub, thread, access },
    ...{ live, desk, archive, preparation, run, state, wiringInUse, log },
  };
}

/** Closes, behind the scenes, what a crash left open: the list is taken before anything new begins. */
async function recoverRecordings({ dataFolder, log }: StationOptions): Promise<void> {
  for (const { id, stop, trouble } of await openStore(dataFolder).recover(wallClock())) {
    if (stop) log('info', 'recording recovered', { id, samples: stop.samples });
    else log('error', 'recording not recovered', { id, reason: trouble });
  }
}
