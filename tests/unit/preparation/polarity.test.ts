/** The polarity check names what is wrong with the channels, on the simulated machine. */
import { describe, expect, it } from 'vitest';
import { patternById } from '../../../shared/joints/index.ts';
import { createPolarityRun, type PolarityResult } from '../../../shared/preparation/polarity.ts';
import type { Wiring } from '../../../shared/wiring/schema.ts';
import { playInto, type PlayOptions } from './simulated.ts';

const ANKLE = 'ankle-plantarflexion-dorsiflexion';

function check(
  options: Omit<PlayOptions, 'script'> & { readonly script?: string },
): PolarityResult {
  const pattern = patternById(options.pattern ?? ANKLE);
  if (!pattern) throw new Error('no such pattern');
  const run = createPolarityRun({ pattern, side: 'right', mostWeight_Nm: 25 });
  playInto((block) => run.push(block), { script: 'polarity,rest:20', ...options });
  const { result } = run.view;
  if (!result) throw new Error(`still ${run.view.stage}`);
  return result;
}

function turned(quantity: string): (wiring: Wiring) => Wiring {
  return (wiring) => ({
    ...wiring,
    channels: wiring.channels.map((channel) =>
      channel.quantity === quantity
        ? { ...channel, slope: -(channel.slope ?? 1), offset: -(channel.offset ?? 0) }
        : channel,
    ),
  });
}

/** The plugs exchanged: each quantity gets the other's raw channel. */
function swapped(wiring: Wiring): Wiring {
  const [torque, angle] = ['torque', 'angle'].map(
    (quantity) => wiring.channels.find((channel) => channel.quantity === quantity)?.channel,
  );
  return {
    ...wiring,
    channels: wiring.channels.map((channel) =>
      channel.quantity === 'torque'
        ? { ...channel, channel: angle ?? 0 }
        : channel.quantity === 'angle'
          ? { ...channel, channel: torque ?? 0 }
          : channel,
    ),
  };
}

function dead(quantity: string): (wiring: Wiring) => Wiring {
  return (wiring) => ({
    ...wiring,
    channels: wiring.channels.map((channel) =>
      channel.quantity === quantity ? { ...channel, slope: 1e-9 } : channel,
    ),
  });
}

const kinds = (result: PolarityResult) => result.findings.map(({ kind }) => kind);

describe('polarity check', () => {
  it.each([[ANKLE], ['knee-extension-flexion']] as const)('passes %s as wired', (pattern) => {
    const result = check({ pattern });
    expect(kinds(result)).toEqual([]);
    expect(result.moved_deg).toBeLessThan(-6);
    expect(result.pushed_Nm).toBeLessThan(-4);
  });

  it('passes the mirrored left side', () => {
    expect(kinds(check({ side: 'left' }))).toEqual([]);
  });

  it('names a turned angle', () => {
    expect(kinds(check({ rewire: turned('angle') }))).toEqual(['angleTurned']);
  });

  it('names a turned torque', () => {
    expect(kinds(check({ rewire: turned('torque') }))).toEqual(['torqueTurned']);
  });

  it('names the wrong side when both are turned', () => {
    const both = (wiring: Wiring) => turned('angle')(turned('torque')(wiring));
    const result = check({ rewire: both });
    expect(kinds(result)).toEqual(['bothTurned']);
    expect(result.findings[0]?.message).toContain('The set-up says right.');
  });

  it('names swapped channels', () => {
    expect(kinds(check({ rewire: swapped }))).toContain('swapped');
  });

  it.each([
    ['torque', 'deadTorque'],
    ['angle', 'deadAngle'],
  ] as const)('names a dead %s', (quantity, kind) => {
    // Without an angle the first task ends by itself after ten seconds; then the push is due.
    const script = quantity === 'angle' ? 'rest:9,polarity,rest:9' : 'polarity,rest:20';
    expect(kinds(check({ script, rewire: dead(quantity) }))).toEqual([kind]);
  });

  it('names a zero that was taken under load', () => {
    const held = (wiring: Wiring): Wiring => ({
      ...wiring,
      channels: wiring.channels.map((channel) =>
        channel.quantity === 'torque'
          ? { ...channel, offset: (channel.offset ?? 0) + 30 }
          : channel,
      ),
    });
    expect(kinds(check({ rewire: held }))).toEqual(['heldTare']);
  });

  it('says that nothing was done when nothing was', () => {
    expect(kinds(check({ script: 'rest:25' }))).toEqual(['deadAngle', 'deadTorque']);
  });
});
