/** Weighing on the simulated machine, whose true weight and passive torque are known sample by sample. */
import { describe, expect, it } from 'vitest';
import { weightAt } from '../../../shared/gravity/remove.ts';
import { expectedWeight } from '../../../shared/gravity/plausibility.ts';
import {
  createWeighingRun,
  type WeighingOptions,
} from '../../../shared/preparation/weighing-run.ts';
import { createSimulation } from '../../../shared/simulation/index.ts';
import { playInto, type PlayOptions } from './simulated.ts';

const LIMITS = { weighingLow_factor: 0.5, weighingHigh_factor: 1.5, attachmentMost_Nm: 10 };
const ANKLE: WeighingOptions = {
  method: 'sweep',
  range_deg: [-37, 16],
  nWanted: 4,
  bodyMass_kg: 79,
  expected: expectedWeight('foot', 79, 1.8, LIMITS),
  horizontalAt_deg: -30,
};

function weigh(play: PlayOptions, options: Partial<WeighingOptions> = {}) {
  const run = createWeighingRun({ ...ANKLE, ...options });
  playInto((block) => run.push(block), play);
  return run;
}

/** What a relaxed limb really adds to the reading at some angles, without noise: weight and tissue. */
function truth(play: PlayOptions): { angle: number; passive: number }[] {
  const simulation = createSimulation({
    ...play,
    script: [{ kind: 'passive', speed_degps: 5, sweeps: 1 }],
  });
  const points: { angle: number; passive: number }[] = [];
  while (!simulation.isOver) {
    const { truth: t, n } = simulation.next(1000);
    points.push({
      angle: t.angle_deg[n - 1] ?? 0,
      passive: (t.weight_Nm[n - 1] ?? 0) + (t.passive_Nm[n - 1] ?? 0),
    });
  }
  return points;
}

describe('weighing by sweeps', () => {
  it('finds what weight and tissue add to the torque, within half a newton-metre', () => {
    const play: PlayOptions = { script: 'passive:5x2', subject: undefined };
    const { view } = weigh(play);
    const { fit } = view;
    expect(view.nAccepted).toBe(4);
    expect(view.blocked).toBeNull();
    expect(view.verdict).toBe('plausible');
    if (!fit) throw new Error('no fit');
    const inside = truth(play).filter(({ angle }) => angle > -33 && angle < 13);
    expect(inside.length).toBeGreaterThan(10);
    for (const { angle, passive } of inside) {
      expect(Math.abs(weightAt(fit.gravity, angle) - passive)).toBeLessThan(0.6);
    }
  });

  it('refuses a sweep with muscle tension, says where, and weighs with the others', () => {
    const { view } = weigh({ script: 'tense:5x2' });
    const refused = view.sweeps.filter(({ tension }) => tension !== null);
    expect(refused.map(({ number }) => number)).toEqual([2]);
    const [{ tension } = { tension: null }] = refused;
    // The script pulls from 40 to 54 % of the way down from 15° to -35°: -5° to -12°.
    expect(tension?.from_deg).toBeGreaterThan(-7);
    expect(tension?.from_deg).toBeLessThan(-3);
    expect(tension?.to_deg).toBeGreaterThan(-14);
    expect(tension?.to_deg).toBeLessThan(-10);
    expect(view.nAccepted).toBe(3);
    expect(view.blocked).toBeNull();
    const clean = weigh({ script: 'passive:5x2' }).view.fit;
    expect(view.fit?.atReference_Nm).toBeCloseTo(clean?.atReference_Nm ?? NaN, 1);
  });

  it('waits for the other way, because one way keeps its friction', () => {
    const run = createWeighingRun(ANKLE);
    let seen: string | null = 'none';
    playInto(
      (block) => {
        run.push(block);
        if (run.view.nAccepted === 1) seen = run.view.blocked;
      },
      { script: 'passive:5x1' },
    );
    expect(seen).toBe('oneWay');
    expect(run.view.blocked).toBeNull();
  });

  it('takes no maximal repetition for a sweep', () => {
    const { view } = weigh({ script: 'isokinetic:60x3' });
    expect(view.sweeps).toEqual([]);
    expect(view.missed?.kind).toBe('fast');
  });

  it('says that a sweep was too short for wider limits', () => {
    const { view } = weigh({ script: 'passive:5x1' }, { range_deg: [-60, 40] });
    expect(view.sweeps).toEqual([]);
    expect(view.missed).toMatchObject({ kind: 'short', needed_deg: 80 });
  });

  it('asks about a weight near zero', () => {
    const { view } = weigh({
      script: 'passive:5x1',
      rewire: (wiring) => ({
        ...wiring,
        channels: wiring.channels.map((channel) =>
          channel.quantity === 'torque' ? { ...channel, slope: 1e-6, offset: 0 } : channel,
        ),
      }),
    });
    expect(view.verdict).toBe('nothing');
  });

  it('forgets a dropped sweep', () => {
    const run = weigh({ script: 'passive:5x1' });
    run.drop(1);
    expect(run.view.sweeps.map(({ number }) => number)).toEqual([2]);
    expect(run.view.blocked).toBe('oneWay');
  });
});

describe('weighing by holds', () => {
  it('reads one hold of three seconds and needs the horizontal angle', () => {
    const run = createWeighingRun({ ...ANKLE, method: 'hold' });
    run.hold();
    playInto((block) => run.push(block), { script: 'rest:4' });
    expect(run.view.holds).toHaveLength(1);
    expect(run.view.blocked).toBeNull();
    const blind = createWeighingRun({ ...ANKLE, method: 'hold', horizontalAt_deg: null });
    blind.hold();
    playInto((block) => blind.push(block), { script: 'rest:4' });
    expect(blind.view.blocked).toBe('hold');
  });

  it('refuses a hold of a limb that pushes', () => {
    const run = createWeighingRun({ ...ANKLE, method: 'hold' });
    let isAsked = false;
    let t = 0;
    playInto(
      (block) => {
        t += block.n / block.rate_Hz;
        if (!isAsked && t > 1) {
          run.hold();
          isAsked = true;
        }
        run.push(block);
      },
      { script: 'isometric:4' },
    );
    expect(run.view.holds).toEqual([]);
    expect(run.view.holdProblem).toContain('not relaxed');
  });
});
