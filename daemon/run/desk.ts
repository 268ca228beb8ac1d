/**
 * The run of a station: tells the driver what the stream shows and people ask for, and says what was made
 * of the set: what the lever shows, how near the best two are, what the subject's screen gets.
 */
import { patternById } from '../../shared/joints/index.ts';
import { type LaneRun, repetitionsOf } from '../../shared/session/lane.ts';
import { COUNTDOWN_ms, remaining_s, type RunEvent } from '../../shared/session/run.ts';
import { plannedSet, type RunView } from '../../shared/session/run-view.ts';
import type { Screen } from '../../shared/session/screen.ts';
import type { Progress } from '../../shared/session/set-watch.ts';
import type { Ledger, Setup } from '../../shared/wire/events.ts';
import type { RecordingDesk } from '../station-recording.ts';
import { createDecisionDesk, type DecisionDesk, type DecisionOptions } from './decisions.ts';
import { createDriver, type Driver, now_ms, type RunActions } from './driver.ts';
import { createLeverLook, type LeverLook } from './lever-look.ts';
import { createPeaks, type Peaks } from './peaks.ts';

export interface RunDeskOptions extends Omit<DecisionOptions, 'newest'> {
  readonly dataFolder: string;
  readonly setup: () => Setup;
  readonly progress: () => Progress;
  readonly isLive: () => boolean;
  readonly recorder: Pick<RecordingDesk, 'blind' | 'event'>;
  /** Stream index of the sample that comes next. */
  readonly nextIndex: () => number;
  /** Something that the pages show is another. */
  readonly changed: () => void;
}

export interface RunDesk {
  readonly view: RunView;
  readonly lane: LaneRun;
  readonly decisions: DecisionDesk;
  attach(actions: RunActions): void;
  /** False when it does not fit the stage; then nothing changed. */
  send(event: RunEvent): boolean;
  tick(): void;
  heard(ledger: Ledger): void;
  show(screen: Screen): void;
  /** The set takes on what the lever showed; the recording says so. */
  adopt(who: string): string | null;
  /** Resolves when all that was asked for so far is carried out. */
  settled(): Promise<void>;
}

interface Parts {
  readonly driver: Driver;
  readonly lever: LeverLook;
  readonly peaks: Peaks;
  readonly decisions: DecisionDesk;
  readonly options: RunDeskOptions;
}

export function createRunDesk(options: RunDeskOptions): RunDesk {
  const { setup, progress, isLive, current, changed } = options;
  let begun_ms = now_ms();
  let limb = limbOf(setup());
  const peaks = createPeaks();
  const decisions = createDecisionDesk({ ...options, newest: () => peaks.newest });
  const note = (kind: string, detail: Readonly<Record<string, unknown>>): void =>
    void options.recorder.event(kind, options.nextIndex(), detail);
  const noteScreen = (): void =>
    note('screen', { ...driver.screen, scale_Nm: [...setup().torqueScale_Nm] });
  const lever = createLeverLook({ ...options, note });
  const driver = createDriver({
    ...options,
    note,
    entered(state, before) {
      if (state.stage === 'countdown' || state.set !== before.set) lever.forget();
      if (state.stage === 'set' && before.stage !== 'set') {
        begun_ms = now_ms();
        noteScreen();
      }
      changed();
    },
  });
  const parts: Parts = { driver, lever, peaks, decisions, options };

  return {
    decisions,
    attach: (actions) => driver.attach(actions),
    send: (event) => driver.take(event),
    tick() {
      const { stage, recording } = driver.state;
      if (stage === 'none') return;
      const limbNow = limbOf(setup());
      if (limbNow !== limb) driver.take({ type: 'limb' });
      limb = limbNow;
      // Somebody ended the recording from elsewhere.
      if (stage === 'set' && current() !== recording) driver.take({ type: 'stopped' });
      const repetitions = repetitionsOf(progress(), setup());
      driver.take({ type: 'tick', isLive: isLive(), repetitions });
      if (driver.state.stage === 'set' && progress().nEnded > 0) lever.look();
    },
    heard(ledger) {
      peaks.heard(ledger);
      changed();
    },
    show(screen) {
      driver.show(screen);
      noteScreen();
      changed();
    },
    adopt: (who) => adopt(parts, note, who),
    settled: () => driver.settled(),
    get view() {
      return viewOf(parts);
    },
    get lane() {
      return laneRunOf(parts, (now_ms() - begun_ms) / 1000);
    },
  };
}

function adopt(
  { driver, lever, decisions }: Parts,
  note: (kind: string, detail: Readonly<Record<string, unknown>>) => void,
  who: string,
): string | null {
  const { mismatch } = lever;
  if (!mismatch) return 'Nothing differs from what the set states.';
  const { mode, speed_degps, range_deg, isRangeOff } = mismatch;
  const { recording, outcomes } = driver.state;
  const about = recording === '' ? (outcomes.at(-1)?.recording ?? '') : recording;
  if (about !== '') decisions.assign(about, { mode, speed_degps }, who);
  const range = isRangeOff && range_deg ? { rangeLimits_deg: range_deg } : {};
  lever.settle();
  note('adopted', { mode, speed_degps, range_deg: range_deg && [...range_deg] });
  driver.take({ type: 'adopt', set: { mode, speed_degps, ...range } });
  return null;
}

function viewOf({ driver, lever, peaks, decisions }: Parts): RunView {
  const { state, screen } = driver;
  const { stage, plan, set, recording, isPaused, repetitions, outcomes, trouble, detail } = state;
  return {
    ...{ stage, plan, set, recording, isPaused, repetitions, outcomes, trouble, detail },
    remaining_s: remaining_s(state, now_ms()),
    mismatch: lever.mismatch,
    agreements: peaks.agreements(state),
    nUndo: decisions.nUndo,
    screen,
  };
}

function laneRunOf({ driver, peaks, options }: Parts, at_s: number): LaneRun {
  const { state, screen } = driver;
  const rested = state.plan?.sets[state.outcomes.at(-1)?.set ?? 0]?.rest_s ?? 0;
  return {
    ...{ stage: state.stage, isPaused: state.isPaused, repetitions: state.repetitions },
    remaining_s: remaining_s(state, now_ms()),
    whole_s: state.stage === 'countdown' ? COUNTDOWN_ms / 1000 : rested,
    of: plannedSet(state)?.repetitions ?? null,
    screen,
    best_Nm: screen.hasBestMark ? peaks.best(patternById(options.setup().pattern)) : NONE,
    at_s,
  };
}

const NONE = { rising: null, falling: null };

function limbOf({ subject, pattern, side }: Setup): string {
  return [subject, pattern, side].join(' ');
}
