/**
 * Drives the machine of `shared/session/run.ts`: gives it the time, keeps its state on the disk and carries
 * out its effects one after the other.
 */
import { setupFor } from '../../shared/session/plan.ts';
import {
  type RunEffect,
  type RunEvent,
  type RunState,
  step,
  toKeep,
} from '../../shared/session/run.ts';
import { plannedSet } from '../../shared/session/run-view.ts';
import type { Screen } from '../../shared/session/screen.ts';
import type { Setup } from '../../shared/wire/events.ts';
import { monotonic_ns, wallClock } from '../clock.ts';
import { keepRun, readRun } from './store.ts';

/** What a station does for its run; the same that its pages may ask for. */
export interface RunActions {
  startRecording(name: string): Promise<string | null>;
  stopRecording(reason: string): Promise<unknown>;
  changeSetup(setup: Setup): Promise<unknown>;
}

export interface DriverOptions {
  readonly dataFolder: string;
  readonly setup: () => Setup;
  /** Id of the recording under way. */
  readonly current: () => string | null;
  readonly note: (kind: string, detail: Readonly<Record<string, unknown>>) => void;
  /** It went from another state into this one. */
  readonly entered: (state: RunState, before: RunState) => void;
  readonly trouble: (what: string, reason: string) => void;
}

export interface Driver {
  readonly state: RunState;
  readonly screen: Screen;
  attach(actions: RunActions): void;
  /** False when it does not fit the stage; then nothing changed. */
  take(event: RunEvent): boolean;
  show(screen: Screen): void;
  /** Resolves when all that was asked for so far is carried out. */
  settled(): Promise<void>;
}

export const now_ms = (): number => monotonic_ns() / 1e6;

export function createDriver(options: DriverOptions): Driver {
  const { dataFolder, setup, current, note, entered, trouble } = options;
  const kept = readRun(dataFolder, wallClock());
  let [state] = step(kept.state, { type: 'restarted', away_ms: kept.away_ms }, now_ms());
  let { screen } = kept;
  let actions: RunActions | null = null;
  let work: Promise<unknown> = Promise.resolve();
  let saving: Promise<unknown> = Promise.resolve();

  const save = (): void => {
    const keeping = { state: toKeep(state, now_ms()), screen };
    saving = saving
      .then(() => keepRun(dataFolder, keeping, wallClock()))
      .catch((error: unknown) => trouble('run not kept', String(error)));
  };
  const perform = async (effect: Exclude<RunEffect, { type: 'note' }>): Promise<void> => {
    if (!actions) return;
    if (effect.type === 'setup') {
      const wanted = setupFor(setup(), effect.set);
      if (JSON.stringify(wanted) !== JSON.stringify(setup())) await actions.changeSetup(wanted);
    } else if (effect.type === 'record') {
      const refused = await actions.startRecording(nameOf(state, setup()));
      if (refused === null) take({ type: 'began', recording: current() ?? '' });
      else take({ type: 'refused', detail: refused });
    } else {
      await actions.stopRecording(effect.reason);
      take({ type: 'stopped' });
    }
  };
  const take = (event: RunEvent): boolean => {
    const before = state;
    const [next, effects] = step(state, event, now_ms());
    if (next === before) return false;
    state = next;
    // Counting is not kept: a set that is cut is run again.
    if (before.stage !== next.stage || event.type !== 'tick') save();
    for (const effect of effects) {
      if (effect.type === 'note') note(effect.kind, effect.detail);
      else {
        const isDone = work.then(() => perform(effect));
        work = isDone.catch((error: unknown) => trouble('run step failed', String(error)));
      }
    }
    entered(next, before);
    return true;
  };

  return {
    take,
    get state() {
      return state;
    },
    get screen() {
      return screen;
    },
    attach(given) {
      actions = given;
      const planned = plannedSet(state);
      if (state.stage === 'ready' && planned) work = perform({ type: 'setup', set: planned });
    },
    show(next) {
      screen = next;
      save();
    },
    settled: async () => {
      await work;
      await saving;
    },
  };
}

/** Short: whose it is and what was done stand in the recording itself. */
function nameOf({ set, outcomes }: RunState, { mode, speed_degps }: Setup): string {
  const again = outcomes.filter((outcome) => outcome.set === set).length;
  const what = mode === 'isometric' || speed_degps === 0 ? mode : `${speed_degps} °/s`;
  return `Set ${set + 1}${again > 0 ? ` again ${again}` : ''}, ${what}`;
}
