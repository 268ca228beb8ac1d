/** Live flags say the same however the stream is cut, and the offline pass says what live said. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Flag, flagKey } from '../../shared/flags/flag.ts';
import type { LiveContext } from '../../shared/flags/index.ts';
import { patternById } from '../../shared/joints/index.ts';
import { finalForms, watchSignal } from '../../shared/flags/offline.ts';
import { allTold, findings, murmur, signalOf, type Stream } from '../support/flag-scenes.ts';

const N = 2600;

const CONTEXT: Partial<LiveContext> = {
  range_deg: [0, 90],
  torqueLimit_Nm: 200,
  referenceTorque_Nm: 90,
  converterEnds: new Map([
    ['torque_Nm', [-250, 250]],
    ['angle_deg', [-20, 110]],
  ]),
  measuredRate_Hz: () => 1010,
};

const event = fc.record({
  from: fc.nat(N - 1),
  length: fc.oneof(fc.constant(1), fc.constant(2), fc.integer({ min: 1, max: 1300 })),
  what: fc.constantFrom('spike', 'freeze', 'nan', 'rail', 'push', 'rough', 'outside', 'jolt'),
});
type Event = typeof event extends fc.Arbitrary<infer T> ? T : never;

const LEVELS: Readonly<Record<string, number>> = {
  spike: 7,
  nan: Number.NaN,
  rail: 250,
  push: 170,
  freeze: 3.25,
};

/** The events laid over a murmuring channel that swings from 3 to 87 degrees. */
function streamOf(events: readonly Event[], hole: readonly [number, number]): Stream {
  const torque = Float64Array.from({ length: N }, (_, i) => murmur(i));
  const angle = Float64Array.from({ length: N }, (_, i) => 45 + 42 * Math.sin(i / 400));
  for (const { from, length, what } of events) {
    for (let i = from; i < Math.min(N, from + length); i += 1) {
      if (what === 'outside') angle[i] = 93 + murmur(i);
      else if (what === 'jolt') angle[i] = 45;
      else if (what === 'rough') torque[i] += 3 * Math.sin(i * i);
      else
        torque[i] = what === 'freeze' || what === 'nan' ? LEVELS[what] : LEVELS[what] + murmur(i);
    }
  }
  return {
    n: N,
    torque: (i) => torque[i],
    angle: (i) => angle[i],
    velocity: (i) => (42 / 0.4) * Math.cos(i / 400),
    hole,
  };
}

const scene = fc
  .record({
    events: fc.array(event, { maxLength: 6 }),
    holeAt: fc.integer({ min: 1, max: N }),
    holeLength: fc.integer({ min: 1, max: 900 }),
  })
  .map(({ events, holeAt, holeLength }) =>
    streamOf(events, [holeAt, Math.min(N, holeAt + holeLength)]),
  );

/** By kind and channel, because blocks decide how those mix. */
function byKind(flags: readonly Flag[]): Record<string, Flag[]> {
  const kinds: Record<string, Flag[]> = {};
  for (const flag of flags) (kinds[`${flag.kind} ${flag.unit}`] ??= []).push(flag);
  return kinds;
}

describe('live flags', () => {
  it('do not depend on the cut', () => {
    fc.assert(
      fc.property(
        scene,
        fc.array(fc.integer({ min: 1, max: 400 }), { minLength: 1, maxLength: 5 }),
        (stream, sizes) => {
          const cut = byKind(allTold(stream, CONTEXT, sizes));
          expect(cut).toEqual(byKind(allTold(stream, CONTEXT, [1])));
          expect(cut).toEqual(byKind(allTold(stream, CONTEXT, [N])));
        },
      ),
      { numRuns: 20 },
    );
  });

  it('begin and end each episode once, with kind and start as its name', () => {
    fc.assert(
      fc.property(scene, (stream) => {
        const flags = allTold(stream, CONTEXT);
        const keys = flags.map(flagKey);
        for (const key of new Set(keys)) {
          const episode = flags.filter((_, k) => keys[k] === key);
          expect(episode).toHaveLength(2);
          expect(episode[0].end_s).toBe(episode[0].start_s);
          expect(episode.at(-1)?.end_s).toBeGreaterThan(episode[0].start_s);
        }
      }),
      { numRuns: 20 },
    );
  });

  it('are those of the offline pass over the same samples', () => {
    fc.assert(
      fc.property(fc.array(event, { maxLength: 5 }), (events) => {
        const stream = { ...streamOf(events, [N, N]), velocity: undefined };
        const conditions = { mode: 'isokinetic', range_deg: [0, 90], torqueLimit_Nm: 200 } as const;
        const pattern = patternById('knee-extension-flexion');
        const offline = watchSignal(findings({ signal: signalOf(stream), pattern }, conditions));
        const live = finalForms(
          allTold({ ...stream }, { range_deg: [0, 90], torqueLimit_Nm: 200 }),
        );
        expect(byKind(offline)).toEqual(byKind(live));
      }),
      { numRuns: 15 },
    );
  });
});
