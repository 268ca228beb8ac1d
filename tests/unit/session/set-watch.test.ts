/** Following a set: phases are counted once each, noise and twitches are not, cuts change nothing. */
import { describe, expect, it } from 'vitest';
import type { Block } from '../../../shared/block/block.ts';
import { createSetWatch, type Progress } from '../../../shared/session/set-watch.ts';
import type { Setup } from '../../../shared/wire/events.ts';
import { DEMO_SETUP } from '../../../shared/wire/setup.ts';

const RATE_Hz = 1000;

/** Velocity (or torque) that holds each level for its seconds. */
function signal(...steps: readonly (readonly [level: number, span_s: number])[]): number[] {
  return steps.flatMap(([level, span_s]) =>
    Array<number>(Math.round(span_s * RATE_Hz)).fill(level),
  );
}

function follow(setup: Setup, values: readonly number[], cut = 20): Progress {
  const watch = createSetWatch(setup);
  for (let index = 0; index < values.length; index += cut) {
    const part = Float64Array.from(values.slice(index, index + cut));
    const columns = new Map([
      ['velocity_degps', part],
      ['torque_Nm', part],
      ['angle_deg', part],
    ]);
    const block: Block = { rate_Hz: RATE_Hz, index, n: part.length, afterGap: false, columns };
    watch.push(block);
  }
  return watch.progress;
}

const ISOMETRIC: Setup = { ...DEMO_SETUP, mode: 'isometric', torqueScale_Nm: [-100, 100] };

describe('set watch', () => {
  it('counts the phases of a reciprocal set and knows the way of the one under way', () => {
    const set = signal([0, 1], [-60, 0.8], [0, 0.3], [60, 0.8], [-60, 0.8], [60, 0.4]);
    expect(follow(DEMO_SETUP, set)).toMatchObject({ nEnded: 3, way: 1, lastWay: 1, quiet_s: 0 });
  });

  it('counts nothing while the limb rests or is moved a little', () => {
    const rest = signal([0, 1], [11, 1], [-11, 1], [60, 0.07], [0, 1]);
    expect(follow(DEMO_SETUP, rest)).toMatchObject({ nEnded: 0, way: 0, lastWay: 0 });
    expect(follow(DEMO_SETUP, rest).quiet_s).toBeCloseTo(4.07, 6);
  });

  it('is not ended by a short stop', () => {
    const halting = signal([-60, 0.5], [0, 0.07], [-60, 0.5]);
    expect(follow(DEMO_SETUP, halting)).toMatchObject({ nEnded: 0, way: -1 });
  });

  it('sees slow passive movement that a fast test would take for rest', () => {
    const passive: Setup = { ...DEMO_SETUP, mode: 'passive', speed_degps: 5 };
    expect(follow(passive, signal([5, 2], [0, 1]))).toMatchObject({ nEnded: 1, lastWay: 1 });
  });

  it('counts isometric efforts by torque', () => {
    const efforts = signal([0, 1], [-40, 3], [2, 2], [-45, 3], [1, 1]);
    const progress = follow(ISOMETRIC, efforts);
    expect(progress).toMatchObject({ nEnded: 2, way: 0, lastWay: -1 });
    expect(progress.quiet_s).toBeCloseTo(1 - 0.08, 2);
  });

  it('takes missing samples for rest, not for movement', () => {
    expect(follow(DEMO_SETUP, signal([NaN, 1]))).toMatchObject({ nEnded: 0, way: 0 });
  });

  it('gives the same however the stream is cut', () => {
    const set = signal([0, 0.5], [-60, 0.8], [0, 0.3], [60, 0.8], [-9, 0.5], [-60, 0.9], [0, 0.2]);
    const whole = follow(DEMO_SETUP, set, set.length);
    for (const cut of [1, 7, 20, 333]) expect(follow(DEMO_SETUP, set, cut)).toEqual(whole);
  });

  it('begins anew', () => {
    const watch = createSetWatch(DEMO_SETUP);
    const columns = new Map([['velocity_degps', Float64Array.from(signal([60, 1], [0, 1]))]]);
    watch.push({ rate_Hz: RATE_Hz, index: 0, n: 2000, afterGap: false, columns });
    expect(watch.progress.nEnded).toBe(1);
    watch.restart();
    expect(watch.progress).toMatchObject({ nEnded: 0, way: 0, lastWay: 0, quiet_s: 0 });
  });
});
