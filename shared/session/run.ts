/**
 * A run of sets as a pure machine: (state, event) -> [state, effects]. Times are milliseconds of one
 * clock that the caller reads. Counts repetitions that it is told of; judges none.
 */
import type { Plan, PlannedSet } from './plan.ts';
import { plannedSet } from './run-view.ts';

export const COUNTDOWN_ms = 3_000;
/** After the last repetition the recording goes on, so that its end is inside. */
const TAIL_ms = 1_000;
/** More sets and repeats than this are no session. */
const MOST_OUTCOMES = 200;

/**
 * `ready`: the next set waits for its key; `opening` and `closing`: the disk is at work; `done`: all sets
 * were run. A set that the daemon's end cut is in the outcomes as `interrupted`.
 */
export type Stage =
  'none' | 'ready' | 'countdown' | 'opening' | 'set' | 'closing' | 'rest' | 'done';

export const EARLY_REASONS = ['pain', 'strap', 'request', 'machine'] as const;
export type EarlyReason = (typeof EARLY_REASONS)[number];

export const TROUBLES = [
  '',
  'noSignal',
  'signalLost',
  'refused',
  'limbChanged',
  'restarted',
] as const;
export type RunTrouble = (typeof TROUBLES)[number];

export interface Outcome {
  /** Which planned set it was, from 0. */
  readonly set: number;
  readonly recording: string;
  readonly how: 'complete' | 'early' | 'aborted' | 'interrupted';
  readonly reason: EarlyReason | null;
  readonly repetitions: number;
  readonly of: number;
  /** 0 to 10, as the subject says; null until asked. */
  readonly pain: number | null;
  readonly exertion: number | null;
  readonly nAdverse: number;
}

export interface RunState {
  readonly stage: Stage;
  readonly plan: Plan | null;
  readonly set: number;
  readonly recording: string;
  /** End of the countdown or rest; of a paused rest: what was left of it. */
  readonly until_ms: number;
  readonly isPaused: boolean;
  readonly repetitions: number;
  /** When the last planned repetition ended; null before. */
  readonly reached_ms: number | null;
  /** How the set that is closing ends. */
  readonly ending: Pick<Outcome, 'how' | 'reason'> | null;
  readonly nAdverse: number;
  readonly outcomes: readonly Outcome[];
  readonly trouble: RunTrouble;
  /** The words of a refusal. */
  readonly detail: string;
}

export type RunEvent =
  | { readonly type: 'open'; readonly plan: Plan }
  | { readonly type: 'close' }
  | { readonly type: 'go'; readonly isLive: boolean }
  | { readonly type: 'tick'; readonly isLive: boolean; readonly repetitions: number }
  | { readonly type: 'began'; readonly recording: string }
  | { readonly type: 'refused'; readonly detail: string }
  | { readonly type: 'pause' }
  | { readonly type: 'end'; readonly reason: EarlyReason | null }
  | { readonly type: 'abort' }
  /** Why the newest set ended early, said after it. */
  | { readonly type: 'reason'; readonly reason: EarlyReason }
  | { readonly type: 'more' }
  | { readonly type: 'choose'; readonly set: number }
  | { readonly type: 'repeat' }
  | { readonly type: 'score'; readonly scale: 'pain' | 'exertion'; readonly value: number }
  | { readonly type: 'adverse' }
  /** The recording is closed, whoever asked for it. */
  | { readonly type: 'stopped' }
  | { readonly type: 'adopt'; readonly set: Partial<PlannedSet> }
  /** Another limb is set up: its sets are others. */
  | { readonly type: 'limb' }
  /** The daemon begins anew, so long after the state was kept. */
  | { readonly type: 'restarted'; readonly away_ms: number };

export type RunEffect =
  /** The set-up takes on what this set states. */
  | { readonly type: 'setup'; readonly set: PlannedSet }
  | { readonly type: 'record' }
  | { readonly type: 'stop'; readonly reason: string }
  /** An event for the recording. */
  | { readonly type: 'note'; readonly kind: string; readonly detail: Record<string, unknown> };

type Step = readonly [RunState, readonly RunEffect[]];

export const NO_RUN: RunState = {
  stage: 'none',
  plan: null,
  set: 0,
  recording: '',
  until_ms: 0,
  isPaused: false,
  repetitions: 0,
  reached_ms: null,
  ending: null,
  nAdverse: 0,
  outcomes: [],
  trouble: '',
  detail: '',
};

/** What does not fit the stage changes nothing: the very same state comes back. */
export function step(state: RunState, event: RunEvent, now_ms: number): Step {
  switch (event.type) {
    case 'open':
      return isBusy(state) ? same(state) : ready({ ...NO_RUN, plan: event.plan }, 0);
    case 'close':
      return isBusy(state) ? same(state) : [NO_RUN, []];
    case 'go':
      return go(state, event.isLive, now_ms);
    case 'tick':
      return tick(state, event, now_ms);
    case 'began':
      return began(state, event.recording);
    case 'refused':
      return refused(state, event.detail);
    case 'pause':
      return pause(state, now_ms);
    case 'end':
      return end(state, { how: isReached(state) ? 'complete' : 'early', reason: event.reason });
    case 'abort':
      return end(state, { how: 'aborted', reason: null });
    case 'stopped':
      return stopped(state, now_ms);
    case 'reason':
    case 'score':
    case 'adverse':
      return noted(state, event);
    case 'more':
      return more(state);
    case 'choose':
      return isWaiting(state) ? ready(state, event.set) : same(state);
    case 'repeat':
      return isWaiting(state) ? ready(state, state.outcomes.at(-1)?.set ?? state.set) : same(state);
    case 'adopt':
      return [withSet(state, event.set), []];
    case 'limb':
      return limb(state);
    case 'restarted':
      return restarted(state, event.away_ms, now_ms);
  }
}

/** As it is kept on the disk, where no clock of this machine's start means anything: the rest as what is left. */
export function toKeep(state: RunState, now_ms: number): RunState {
  if (state.stage !== 'rest' || state.isPaused) return state;
  return { ...state, until_ms: Math.max(0, state.until_ms - now_ms) };
}

/** Seconds that are left of a countdown or rest; null in other stages. */
export function remaining_s(state: RunState, now_ms: number): number | null {
  if (state.stage !== 'countdown' && state.stage !== 'rest') return null;
  const left_ms = state.isPaused ? state.until_ms : state.until_ms - now_ms;
  return Math.max(0, left_ms) / 1000;
}

/** A recording belongs to it, or is about to. */
export function isBusy({ stage }: RunState): boolean {
  return stage === 'countdown' || stage === 'opening' || stage === 'set' || stage === 'closing';
}

function isWaiting({ stage }: RunState): boolean {
  return stage === 'ready' || stage === 'rest' || stage === 'done';
}

function isReached(state: RunState): boolean {
  return state.repetitions >= (plannedSet(state)?.repetitions ?? Infinity);
}

function same(state: RunState): Step {
  return [state, []];
}

function ready(state: RunState, set: number): Step {
  const planned = state.plan?.sets[set];
  if (!planned) return same(state);
  const fresh = { repetitions: 0, reached_ms: null, ending: null, nAdverse: 0, recording: '' };
  const next = { ...state, ...fresh, stage: 'ready' as const, set, until_ms: 0, isPaused: false };
  return [{ ...next, trouble: '', detail: '' }, [{ type: 'setup', set: planned }]];
}

function go(state: RunState, isLive: boolean, now_ms: number): Step {
  if (state.stage === 'set' && state.isPaused) return pause(state, now_ms);
  if (state.stage !== 'ready' && state.stage !== 'rest') return same(state);
  const [fresh, effects] = ready(state, state.set);
  if (!isLive) return [{ ...fresh, trouble: 'noSignal' }, effects];
  return [{ ...fresh, stage: 'countdown', until_ms: now_ms + COUNTDOWN_ms }, effects];
}

function tick(
  state: RunState,
  { isLive, repetitions }: Extract<RunEvent, { type: 'tick' }>,
  now_ms: number,
): Step {
  if (state.stage === 'countdown') {
    if (!isLive) return [{ ...state, stage: 'ready', until_ms: 0, trouble: 'signalLost' }, []];
    if (now_ms < state.until_ms) return same(state);
    return [{ ...state, stage: 'opening', until_ms: 0 }, [{ type: 'record' }]];
  }
  if (state.stage === 'rest' && !state.isPaused && now_ms >= state.until_ms) {
    return ready(state, state.set);
  }
  if (state.stage !== 'set') return same(state);
  const isMore = repetitions > state.repetitions;
  const counted = isMore ? { ...state, repetitions } : state;
  if (!isReached(counted)) return same(counted);
  if (counted.reached_ms === null) return same({ ...counted, reached_ms: now_ms });
  const isOver = !counted.isPaused && now_ms - counted.reached_ms >= TAIL_ms;
  return isOver ? end(counted, { how: 'complete', reason: null }) : same(counted);
}

function began(state: RunState, recording: string): Step {
  if (state.stage !== 'opening') return same(state);
  const { plan, set } = state;
  const detail = { run: plan?.name ?? '', set: set + 1, planned: { ...plan?.sets[set] } };
  const next = { ...state, stage: 'set' as const, recording };
  const note: RunEffect = { type: 'note', kind: 'setBegins', detail };
  // Ended while the disk was still opening it.
  if (state.ending) {
    return [{ ...next, stage: 'closing' }, [note, { type: 'stop', reason: 'set aborted' }]];
  }
  return [next, [note]];
}

function refused(state: RunState, detail: string): Step {
  if (state.stage !== 'opening') return same(state);
  return [{ ...state, stage: 'ready', ending: null, trouble: 'refused', detail }, []];
}

/** A countdown is taken back; a rest stands still; a set goes on being recorded and does not end by count. */
function pause(state: RunState, now_ms: number): Step {
  const isPaused = !state.isPaused;
  const { stage, until_ms } = state;
  if (stage === 'countdown') return [{ ...state, stage: 'ready', until_ms: 0 }, []];
  if (stage === 'rest') {
    const left_ms = isPaused ? Math.max(0, until_ms - now_ms) : until_ms + now_ms;
    return [{ ...state, isPaused, until_ms: left_ms }, []];
  }
  if (stage !== 'set') return same(state);
  const reached_ms = state.reached_ms === null ? null : now_ms;
  const kind = isPaused ? 'setPaused' : 'setResumed';
  return [{ ...state, isPaused, reached_ms }, [{ type: 'note', kind, detail: {} }]];
}

function end(state: RunState, ending: NonNullable<RunState['ending']>): Step {
  if (state.stage === 'countdown') return [{ ...state, stage: 'ready', until_ms: 0 }, []];
  if (state.stage === 'opening') return [{ ...state, ending: { ...ending, how: 'aborted' } }, []];
  if (state.stage !== 'set') return same(state);
  const words =
    ending.reason === null ? `set ${ending.how}` : `set ${ending.how}: ${ending.reason}`;
  const detail = { ...ending, repetitions: state.repetitions };
  return [
    { ...state, stage: 'closing', ending },
    [
      { type: 'note', kind: 'setEnds', detail },
      { type: 'stop', reason: words },
    ],
  ];
}

/** Its end was asked for here, or somebody ended the recording. */
function stopped(state: RunState, now_ms: number): Step {
  if (state.stage !== 'closing' && state.stage !== 'set') return same(state);
  const planned = plannedSet(state);
  const ending = state.ending ?? {
    how: isReached(state) ? ('complete' as const) : ('early' as const),
    reason: null,
  };
  const next = closed(state, ending);
  const isLast = state.set + 1 >= (state.plan?.sets.length ?? 0);
  if (ending.how === 'aborted') return [{ ...next, stage: 'ready' }, []];
  if (isLast) return [{ ...next, stage: 'done' }, []];
  const until_ms = now_ms + 1000 * (planned?.rest_s ?? 0);
  return [{ ...next, stage: 'rest', set: state.set + 1, until_ms }, []];
}

function closed(state: RunState, ending: Pick<Outcome, 'how' | 'reason'>): RunState {
  const { set, recording, repetitions, nAdverse } = state;
  const of = plannedSet(state)?.repetitions ?? 0;
  const outcome: Outcome = {
    ...{ set, recording, ...ending, repetitions, of, nAdverse },
    ...{ pain: null, exertion: null },
  };
  return {
    ...state,
    ...{ isPaused: false, until_ms: 0, ending: null, recording: '', reached_ms: null },
    outcomes: [...state.outcomes, outcome].slice(-MOST_OUTCOMES),
  };
}

type Noted = Extract<RunEvent, { type: 'reason' | 'score' | 'adverse' }>;

/** About the set under way where that makes sense, else about the newest that ended. */
function noted(state: RunState, event: Noted): Step {
  const last = state.outcomes.at(-1);
  if (event.type === 'adverse') {
    const note: RunEffect = { type: 'note', kind: 'adverse', detail: { set: state.set + 1 } };
    if (state.stage === 'set') return [{ ...state, nAdverse: state.nAdverse + 1 }, [note]];
    return last ? changed(state, { nAdverse: last.nAdverse + 1 }) : same(state);
  }
  if (!last) return same(state);
  if (event.type === 'score') return changed(state, { [event.scale]: event.value });
  return last.how === 'early' ? changed(state, { reason: event.reason }) : same(state);
}

function changed(state: RunState, change: Partial<Outcome>): Step {
  const last = state.outcomes.at(-1);
  if (!last) return same(state);
  return [{ ...state, outcomes: [...state.outcomes.slice(0, -1), { ...last, ...change }] }, []];
}

/** One more repetition of the set under way, or of the set that just ended as a set of its own. */
function more(state: RunState): Step {
  const planned = plannedSet(state);
  if (state.stage === 'set' && planned) {
    const next = withSet(state, { repetitions: planned.repetitions + 1 });
    return [{ ...next, reached_ms: null }, []];
  }
  const last = state.outcomes.at(-1);
  if (!isWaiting(state) || !last || !state.plan) return same(state);
  const ended = state.plan.sets[last.set];
  if (!ended) return same(state);
  const one = { ...ended, repetitions: 1 };
  const at = last.set + 1;
  const plan = { ...state.plan, sets: state.plan.sets.toSpliced(at, 0, one) };
  return ready({ ...state, plan }, at);
}

function withSet(state: RunState, change: Partial<PlannedSet>): RunState {
  const planned = plannedSet(state);
  if (!planned || !state.plan) return state;
  const sets = state.plan.sets.with(state.set, { ...planned, ...change });
  return { ...state, plan: { ...state.plan, sets } };
}

function limb(state: RunState): Step {
  if (state.stage === 'none' || isBusy(state)) return same(state);
  const { plan } = state;
  return [{ ...NO_RUN, plan, stage: 'ready', trouble: 'limbChanged' }, []];
}

/** A set under way was cut: what was recorded is kept, and the set waits to be run again. */
function restarted(state: RunState, away_ms: number, now_ms: number): Step {
  if (state.stage === 'rest' && !state.isPaused) {
    // Kept as what was left at the time.
    return [{ ...state, until_ms: now_ms + Math.max(0, state.until_ms - away_ms) }, []];
  }
  if (!isBusy(state)) return same(state);
  const hasRecording = state.recording !== '';
  const cut = hasRecording ? closed(state, { how: 'interrupted', reason: null }) : state;
  const [next, effects] = ready(cut, state.set);
  return [{ ...next, trouble: 'restarted' }, effects];
}
