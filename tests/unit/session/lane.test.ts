/** What the subject sees: one word at a time by the pattern, dots, and a level on the fixed scale. */
import { describe, expect, it } from 'vitest';
import { kneeExtensionFlexion } from '../../../shared/joints/knee-extension-flexion.ts';
import { isOver, laneOf, levelOf } from '../../../shared/session/lane.ts';
import type { Progress } from '../../../shared/session/set-watch.ts';
import type { Setup } from '../../../shared/wire/events.ts';
import { DEMO_SETUP } from '../../../shared/wire/setup.ts';

const REST: Progress = {
  nEnded: 0,
  way: 0,
  lastWay: 0,
  quiet_s: 3,
  torque_Nm: -1,
  angle_deg: 0,
};
const moving = (way: 1 | -1, nEnded = 1): Progress => {
  return { ...REST, nEnded, way, lastWay: way, quiet_s: 0 };
};
const paused = (nEnded: number, quiet_s: number): Progress => {
  return { ...REST, nEnded, lastWay: -1, quiet_s };
};
const lane = (progress: Progress, setup: Setup = DEMO_SETUP) =>
  laneOf(progress, setup, kneeExtensionFlexion, 'live');

describe('lane', () => {
  it('says READY, then the cue of the way, REST after a while, DONE at the end', () => {
    expect(lane(REST)).toMatchObject({ phase: 'ready', word: 'READY', way: 0, done: 0, of: 5 });
    const { risingCue, fallingCue } = kneeExtensionFlexion;
    expect(lane(moving(1))).toMatchObject({ phase: 'effort', word: risingCue, way: 1 });
    expect(lane(moving(-1))).toMatchObject({ phase: 'effort', word: fallingCue, way: -1 });
    expect(lane(paused(2, 4))).toMatchObject({ phase: 'rest', word: 'REST', way: 0, done: 1 });
    expect(lane(paused(10, 0.1))).toMatchObject({ phase: 'done', word: 'DONE', done: 5 });
  });

  it('prompts for the way back in the turn between two directions', () => {
    expect(lane(paused(1, 0.4))).toMatchObject({ phase: 'effort', way: 1 });
  });

  it('says wait when data are old, whatever the set is at', () => {
    for (const source of ['stale', 'lost', 'connecting'] as const) {
      const shown = laneOf(moving(1), DEMO_SETUP, undefined, source);
      expect(shown).toMatchObject({ phase: 'wait', seconds: null, word: '', way: 0 });
      expect(levelOf(moving(1), DEMO_SETUP, source)).toBeNull();
    }
  });

  it('counts one dot an effort when isometric, one for there and back otherwise', () => {
    const isometric: Setup = { ...DEMO_SETUP, mode: 'isometric' };
    expect(lane(paused(3, 9), isometric).done).toBe(3);
    expect(lane(paused(3, 9)).done).toBe(1);
  });

  it('places the limb between the limits, and not beyond', () => {
    const at = (angle_deg: number) => lane({ ...REST, angle_deg }).limb;
    expect([at(-37), at(-10.5), at(16), at(40), at(-90)]).toEqual([0, 0.5, 1, 1, 0]);
  });

  it('never shows more dots done than there are', () => {
    expect(lane(moving(-1, 31))).toMatchObject({ done: 5, of: 5, phase: 'effort' });
  });
});

describe('level', () => {
  const level = (torque_Nm: number, way: 1 | -1 | 0) =>
    levelOf({ ...REST, torque_Nm, way, lastWay: way }, DEMO_SETUP, 'live');

  it('is torque in the way to go over the fixed scale', () => {
    expect(level(-60, -1)).toBe(0.5);
    expect(level(10, 1)).toBe(0.25);
  });

  it('stays between 0 and 1: wrong way and beyond the scale', () => {
    expect(level(20, -1)).toBe(0);
    expect(level(-500, -1)).toBe(1);
  });

  it('answers to a push either way before anything moves', () => {
    expect(level(-60, 0)).toBe(0.5);
    expect(level(20, 0)).toBe(0.5);
  });

  it('is null without a sample, never 0', () => {
    expect(level(NaN, 1)).toBeNull();
  });
});

describe('a set without a recording', () => {
  it('is over some seconds after its last repetition', () => {
    expect(isOver(paused(10, 6), DEMO_SETUP)).toBe(true);
    expect(isOver(paused(10, 1), DEMO_SETUP)).toBe(false);
    expect(isOver(paused(9, 60), DEMO_SETUP)).toBe(false);
  });
});
