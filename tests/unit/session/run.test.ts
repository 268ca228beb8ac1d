/** The run of sets as a machine: every stage left by the right event, at the right time, and by no other. */
import { describe, expect, it } from 'vitest';
import { planOf, planOfSetup, setupFor } from '../../../shared/session/plan.ts';
import {
  COUNTDOWN_ms,
  NO_RUN,
  remaining_s,
  type RunEffect,
  type RunEvent,
  type RunState,
  step,
  toKeep,
} from '../../../shared/session/run.ts';
import { DEMO_SETUP } from '../../../shared/wire/setup.ts';

const SET = { mode: 'isokinetic', speed_degps: 60, repetitions: 3, rest_s: 30 } as const;
const PLAN = planOf('two', [SET, { ...SET, speed_degps: 120 }]);
const TAIL_ms = 1_000;

/** A run that is told events in turn, each at a time of its own. */
class Told {
  state: RunState = NO_RUN;
  effects: RunEffect[] = [];
  now_ms = 10_000;
  tell(event: RunEvent, after_ms = 0): this {
    this.now_ms += after_ms;
    const [state, effects] = step(this.state, event, this.now_ms);
    this.state = state;
    this.effects = [...effects];
    return this;
  }
  tick(repetitions: number, after_ms: number, isLive = true): this {
    return this.tell({ type: 'tick', isLive, repetitions }, after_ms);
  }
  types(): string[] {
    return this.effects.map(({ type }) => type);
  }
}

const opened = () => new Told().tell({ type: 'open', plan: PLAN });
const counting = () => opened().tell({ type: 'go', isLive: true });
const running = () => counting().tick(0, COUNTDOWN_ms).tell({ type: 'began', recording: 'rec-1' });
const resting = () => running().tick(3, 5_000).tick(3, TAIL_ms).tell({ type: 'stopped' });

describe('a set', () => {
  it('is counted in for three seconds, recorded, and ends a second after its last repetition', () => {
    const run = counting();
    expect(run.state.stage).toBe('countdown');
    expect(run.effects).toEqual([{ type: 'setup', set: PLAN.sets[0] }]);
    expect(run.tick(0, COUNTDOWN_ms - 1).state.stage).toBe('countdown');
    expect(run.tick(0, 1).types()).toEqual(['record']);
    run.tell({ type: 'began', recording: 'rec-1' });
    expect(run.state).toMatchObject({ stage: 'set', recording: 'rec-1', repetitions: 0 });
    expect(run.tick(2, 4_000).state.repetitions).toBe(2);
    expect(run.tick(3, 2_000).effects).toEqual([]);
    expect(run.tick(3, TAIL_ms - 1).state.stage).toBe('set');
    expect(run.tick(3, 1).types()).toEqual(['note', 'stop']);
    run.tell({ type: 'stopped' });
    expect(run.state).toMatchObject({ stage: 'rest', set: 1, recording: '' });
    expect(run.state.outcomes).toMatchObject([
      { set: 0, recording: 'rec-1', how: 'complete', reason: null, repetitions: 3, of: 3 },
    ]);
  });

  it('waits for a late start for as long as it takes', () => {
    const run = running().tick(0, 600_000);
    expect(run.state.stage).toBe('set');
    expect(run.tick(1, 10).state.repetitions).toBe(1);
  });

  it('goes on while no samples come: the gap is the recording’s to mark', () => {
    const run = running().tick(1, 1_000).tick(1, 8_000, false).tick(3, 9_000);
    expect(run.state).toMatchObject({ stage: 'set', repetitions: 3 });
  });

  it('that is ended early says so, and why when that is said', () => {
    const run = running().tick(1, 1_000).tell({ type: 'end', reason: null });
    expect(run.types()).toEqual(['note', 'stop']);
    run.tell({ type: 'stopped' }).tell({ type: 'reason', reason: 'pain' });
    expect(run.state.stage).toBe('rest');
    expect(run.state.outcomes[0]).toMatchObject({ how: 'early', reason: 'pain', repetitions: 1 });
  });

  it('whose recording somebody else ends is over, early', () => {
    const run = running().tick(2, 1_000).tell({ type: 'stopped' });
    expect(run.state.outcomes[0]).toMatchObject({ how: 'early', repetitions: 2 });
  });

  it('that is aborted waits to be run again, without a rest', () => {
    const run = running().tell({ type: 'abort' }).tell({ type: 'stopped' });
    expect(run.state).toMatchObject({ stage: 'ready', set: 0 });
    expect(run.state.outcomes[0]?.how).toBe('aborted');
  });

  it('aborted while the disk opens is stopped as soon as it is open', () => {
    const run = counting().tick(0, COUNTDOWN_ms).tell({ type: 'abort' });
    run.tell({ type: 'began', recording: 'rec-1' });
    expect(run.types()).toEqual(['note', 'stop']);
    expect(run.tell({ type: 'stopped' }).state.outcomes[0]?.how).toBe('aborted');
  });

  it('does not end by count while it is paused, and gets its whole second after', () => {
    const run = running().tell({ type: 'pause' }).tick(3, 1_000).tick(3, 60_000);
    expect(run.state.stage).toBe('set');
    run.tell({ type: 'go', isLive: true });
    expect(run.state.isPaused).toBe(false);
    expect(run.tick(3, TAIL_ms - 1).state.stage).toBe('set');
    expect(run.tick(3, 1).state.stage).toBe('closing');
  });

  it('is one longer with more, also when its count was reached', () => {
    const run = running().tick(3, 1_000).tell({ type: 'more' }).tick(3, 5_000);
    expect(run.state.stage).toBe('set');
    expect(run.tick(4, 1_000).tick(4, TAIL_ms).state.stage).toBe('closing');
  });
});

describe('the countdown', () => {
  it('does not begin without a signal, and is given up when it goes', () => {
    expect(opened().tell({ type: 'go', isLive: false }).state).toMatchObject({
      stage: 'ready',
      trouble: 'noSignal',
    });
    expect(counting().tick(0, 1_000, false).state).toMatchObject({
      stage: 'ready',
      trouble: 'signalLost',
    });
  });

  it('is taken back by pause, end and abort alike', () => {
    for (const event of [
      { type: 'pause' },
      { type: 'abort' },
      { type: 'end', reason: null },
    ] as const) {
      const run = counting().tell(event);
      expect(run.state).toMatchObject({ stage: 'ready', outcomes: [] });
      expect(run.types()).toEqual([]);
    }
  });

  it('leads back to the set when the disk refuses, with its words', () => {
    const run = counting().tick(0, COUNTDOWN_ms).tell({ type: 'refused', detail: 'disk full' });
    expect(run.state).toMatchObject({ stage: 'ready', trouble: 'refused', detail: 'disk full' });
  });
});

describe('the rest', () => {
  it('runs down, and makes the next set ready', () => {
    const run = resting();
    expect(remaining_s(run.state, run.now_ms + 12_000)).toBe(18);
    expect(run.tick(3, 29_999).state.stage).toBe('rest');
    expect(run.tick(3, 1).state).toMatchObject({ stage: 'ready', set: 1, repetitions: 0 });
    expect(run.effects).toEqual([{ type: 'setup', set: PLAN.sets[1] }]);
  });

  it('stands still while paused, and may be cut short', () => {
    const run = resting().tell({ type: 'pause' }, 10_000).tick(3, 500_000);
    expect(remaining_s(run.state, run.now_ms)).toBe(20);
    run.tell({ type: 'pause' });
    expect(run.tick(3, 19_999).state.stage).toBe('rest');
    expect(run.tell({ type: 'go', isLive: true }).state).toMatchObject({
      stage: 'countdown',
      set: 1,
    });
  });

  it('takes what the subject says for the set before it', () => {
    const run = resting()
      .tell({ type: 'score', scale: 'pain', value: 2 })
      .tell({ type: 'score', scale: 'exertion', value: 7 })
      .tell({ type: 'adverse' });
    expect(run.state.outcomes).toMatchObject([{ pain: 2, exertion: 7, nAdverse: 1 }]);
  });

  it('leads back to the set for a repeat, and to one more as a set of its own', () => {
    expect(resting().tell({ type: 'repeat' }).state).toMatchObject({ stage: 'ready', set: 0 });
    const { state } = resting().tell({ type: 'more' });
    expect(state).toMatchObject({ stage: 'ready', set: 1 });
    expect(state.plan?.sets.map(({ repetitions }) => repetitions)).toEqual([3, 1, 3]);
  });
});

describe('the run', () => {
  it('is done after the last set', () => {
    const run = resting().tell({ type: 'go', isLive: true }).tick(0, COUNTDOWN_ms);
    run.tell({ type: 'began', recording: 'rec-2' }).tick(3, 1_000).tick(3, TAIL_ms);
    expect(run.tell({ type: 'stopped' }).state).toMatchObject({ stage: 'done' });
  });

  it('changes nothing by events that do not fit', () => {
    const run = opened();
    const { state } = run;
    for (const event of [
      { type: 'began', recording: 'x' },
      { type: 'stopped' },
      { type: 'more' },
      { type: 'score', scale: 'pain', value: 1 },
      { type: 'choose', set: 7 },
    ] as const) {
      expect(run.tell(event).state).toBe(state);
    }
    const busy = running();
    const { state: before } = busy;
    expect(busy.tell({ type: 'open', plan: PLAN }).state).toBe(before);
    expect(busy.tell({ type: 'close' }).state).toBe(before);
    expect(busy.tell({ type: 'limb' }).state).toBe(before);
  });

  it('begins anew for another limb, and says so', () => {
    expect(resting().tell({ type: 'limb' }).state).toMatchObject({
      stage: 'ready',
      set: 0,
      outcomes: [],
      trouble: 'limbChanged',
    });
  });

  it('names a set that a restart of the daemon cut, and offers it again', () => {
    const run = running().tick(2, 1_000);
    expect(run.tell({ type: 'restarted', away_ms: 4_000 }).state).toMatchObject({
      stage: 'ready',
      set: 0,
      trouble: 'restarted',
      outcomes: [{ how: 'interrupted', recording: 'rec-1', repetitions: 2 }],
    });
  });

  it('goes on with the rest that a restart fell into, on a clock that began anew', () => {
    const run = resting();
    const kept = toKeep(run.state, run.now_ms + 10_000);
    const [state] = step(kept, { type: 'restarted', away_ms: 5_000 }, 77);
    expect(state.stage).toBe('rest');
    expect(remaining_s(state, 77)).toBe(15);
  });
});

describe('the plan', () => {
  it('without a protocol is the set-up’s own set three times', () => {
    const { sets } = planOfSetup(DEMO_SETUP);
    expect(sets).toHaveLength(3);
    for (const set of sets) expect(setupFor(DEMO_SETUP, set)).toEqual(DEMO_SETUP);
  });
});
