import { describe, expect, test } from 'vitest';
import { createDevice } from '../../../daemon/emulator/device.ts';
import { NO_FAULTS } from '../../../daemon/emulator/fault-plan.ts';
import { join } from '../../../daemon/emulator/join.ts';
import { createBadCable } from '../../../daemon/emulator/misbehave.ts';
import { readSettings } from '../../../daemon/emulator/settings.ts';
import type { RawBlock } from '../../../shared/block/block.ts';
import { createSimulation } from '../../../shared/simulation/index.ts';
import { hear } from '../../support/wire.ts';

describe.each(['packets', 'lines'] as const)('the device in %s', (format) => {
  const settings = readSettings({ format, script: 'isokinetic', seed: '4' });
  const device = () => createDevice({ ...settings, repeat: true });

  test('what is decoded are the counts of the simulation, sample by sample', () => {
    const sender = device();
    const bytes = [sender.announcement()];
    for (let k = 0; k < 25; k++) bytes.push(...sender.next().frames);
    const { blocks, counts, faults } = hear(format, [join(bytes)]);
    const { columns } = createSimulation({ ...settings, repeat: true }).next(500);
    const received = columns.map((_, c) => channel(blocks, `ai${c}`));
    expect(faults).toEqual([]);
    expect(counts.samples).toBe(500);
    expect(received).toEqual(columns.map((column) => [...column]));
  });

  test('a device that restarts counts from 0 and loses nothing', () => {
    const sender = device();
    const bytes = [sender.announcement(), ...sender.next().frames, ...sender.next().frames];
    sender.restart();
    bytes.push(sender.announcement(), ...sender.next().frames, ...sender.next().frames);
    const { rows, counts } = hear(format, [join(bytes)]);
    expect(counts.samples).toBe(80);
    expect(rows.map(([run]) => run)).toContain(1);
  });

  test('half the rate sends every second sample, fewer channels the first ones', () => {
    const sender = device();
    sender.reconfigure({ every: 2 });
    sender.reconfigure({ nChannels: 3 });
    const piece = sender.next();
    expect(piece.n).toBe(10);
    const { blocks } = hear(format, [join([sender.announcement(), ...piece.frames])]);
    const [block] = blocks;
    expect(block?.format.rate_Hz).toBe(500);
    const names = block?.format.channels
      .map(({ name }) => name)
      .filter((name) => name !== 'sample');
    expect(names).toEqual(['ai0', 'ai1', 'ai2']);
    const torque = piece.simulated.columns[0] ?? [];
    const every = [...torque].filter((_, i) => i % 2 === 0);
    expect(channel(blocks, 'ai0')).toEqual(every);
  });
});

describe('the bad cable', () => {
  const frames = Array.from({ length: 5000 }, (_, k) => Uint8Array.of(1, 2, 3, k & 0xff));

  test('passes everything untouched without faults', () => {
    const cable = createBadCable(NO_FAULTS, 1);
    expect(frames.flatMap((frame) => cable.pass(frame))).toEqual(frames);
    expect(cable.damage).toEqual({ corrupted: 0, dropped: 0, duplicated: 0, fouled: 0 });
  });

  test('its counts are what came out', () => {
    const plan = { ...NO_FAULTS, drop: 0.1, duplicate: 0.05, corrupt: 0.2 };
    const cable = createBadCable(plan, 9);
    let out = 0;
    let turned = 0;
    for (const frame of frames) {
      const passed = cable.pass(frame);
      out += passed.length;
      const [first] = passed;
      if (first === undefined) continue;
      const bits = first.reduce((sum, byte, i) => sum + ones(byte ^ (frame[i] ?? 0)), 0);
      expect(bits).toBeLessThanOrEqual(1);
      turned += bits;
    }
    const { corrupted, dropped, duplicated } = cable.damage;
    expect(out).toBe(frames.length - dropped + duplicated);
    expect(turned).toBe(corrupted);
    // 5000 draws: within five standard deviations of a binomial.
    expect(Math.abs(dropped - 500)).toBeLessThan(110);
    expect(Math.abs(corrupted - 900)).toBeLessThan(140);
  });

  test('the same seed damages the same frames', () => {
    const plan = { ...NO_FAULTS, drop: 0.1, junk: 0.1, corrupt: 0.1 };
    const run = (seed: number) => {
      const cable = createBadCable(plan, seed);
      return frames.flatMap((frame) => cable.pass(frame));
    };
    expect(run(3)).toEqual(run(3));
    expect(run(3)).not.toEqual(run(4));
  });
});

/** All samples of a channel; lines have their own counter beside it. */
function channel(blocks: readonly RawBlock[], name: string): number[] {
  return blocks.flatMap(({ format, columns, n }) => {
    const c = format.channels.findIndex((each) => each.name === name);
    return [...(columns[c] ?? [])].slice(0, n);
  });
}

function ones(byte: number): number {
  return byte.toString(2).replaceAll('0', '').length;
}
