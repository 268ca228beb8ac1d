/** Worked examples of fitting a wiring to a device; the arithmetic is done by hand. */
import { describe, expect, test } from 'vitest';
import type { ChannelFormat, StreamFormat } from '../../../shared/block/block.ts';
import { wire, type Plan } from '../../../shared/wiring/wire.ts';
import { parseWiring } from '../../../shared/wiring/wiring.ts';

function device(...channels: (Partial<ChannelFormat> & { name: string })[]): StreamFormat {
  return {
    rate_Hz: 1000,
    channels: channels.map((channel) => ({ unit: '', type: 'int16', ...channel })),
    integrity: 'crc32',
    notes: {},
  };
}

function planOf(format: StreamFormat, channels: object[] | null, more: object = {}): Plan {
  const parsed =
    channels === null ? null : parseWiring({ version: 1, station: 'N', channels, ...more });
  if (parsed !== null && 'problems' in parsed) return expect.fail(parsed.problems.join('\n'));
  const wired = wire(format, parsed?.wiring ?? null);
  return 'plan' in wired ? wired.plan : expect.fail(wired.problems.join('\n'));
}

function problemsOf(format: StreamFormat, channels: object[]): readonly string[] {
  const parsed = parseWiring({ version: 1, station: 'N', channels });
  const wired = 'wiring' in parsed ? wire(format, parsed.wiring) : parsed;
  return 'problems' in wired ? wired.problems : [];
}

const volts = device({ name: 'ai0', unit: 'V' }, { name: 'ai1', unit: 'V' });
const torque = { channel: 'ai0', quantity: 'torque', unit: 'Nm', slope: 100, offset: -1.5 };

describe('a device that announces its own scale', () => {
  const scaled = device(
    { name: 'torque_Nm', unit: 'counts', scale: { unit: 'Nm', slope: 0.5, offset: -1 } },
    { name: 'ai1', unit: 'counts', scale: { unit: 'V', slope: 0.01, offset: 2 }, rawMin: -100 },
  );

  test('is taken at its word without a wiring file', () => {
    const [own, other] = planOf(scaled, null).columns;
    expect(own).toMatchObject({ name: 'torque_Nm', unit: 'Nm', slope: 0.5, offset: -1 });
    expect(other).toMatchObject({ name: 'ai1', unit: 'V', slope: 0.01, offset: 2 });
    expect(other?.converterEnds).toEqual([1, Infinity]);
  });

  test('a calibration is for the unit it announces, not for its counts', () => {
    const [column] = planOf(scaled, [
      { channel: 'ai1', quantity: 'torque', unit: 'Nm', slope: 100, offset: 3 },
    ]).columns;
    // 100 Nm/V * (0.01 V * raw + 2 V) + 3 Nm
    expect(column).toMatchObject({ name: 'torque_Nm', slope: 1, offset: 203 });
  });
});

describe('without a wiring file', () => {
  test('names of plain tables are taken as they are', () => {
    const plan = planOf(
      device(
        { name: 'torque_Nm' },
        { name: 'angle_deg', unit: '°' },
        { name: 'velocity_deg_per_s', unit: 'deg/s' },
        { name: 'emg', unit: 'mV' },
      ),
      null,
    );
    expect(
      plan.columns.map(({ name, unit, slope, offset }) => [name, unit, slope, offset]),
    ).toEqual([
      ['torque_Nm', 'Nm', 1, 0],
      ['angle_deg', 'deg', 1, 0],
      ['velocity_degps', 'degps', 1, 0],
      ['emg', 'mV', 1, 0],
    ]);
    expect(plan.notices).toEqual([]);
  });

  test('raw channels keep their name and unit, and it is said that no torque is wired', () => {
    const plan = planOf(volts, null);
    expect(plan.columns.map(({ name, unit }) => [name, unit])).toEqual([
      ['ai0', 'V'],
      ['ai1', 'V'],
    ]);
    expect(plan.notices).toEqual([
      'no torque is wired: name it in the wiring file; the device sends ai0, ai1',
    ]);
  });

  test('a name that its unit contradicts, or another unit, is not taken for a torque', () => {
    for (const channel of [
      { name: 'torque_Nm', unit: 'V' },
      { name: 'torque_ftlb' },
      { name: 'torque' },
    ]) {
      expect(planOf(device(channel), null).notices).toHaveLength(1);
    }
    expect(planOf(device({ name: 'torque', unit: 'N.m' }), null).notices).toEqual([]);
  });

  test('a channel named as a computed column is left out of the live columns', () => {
    expect(planOf(device({ name: 'torqueLive_Nm' }, { name: 'b' }), null).columns).toHaveLength(1);
  });
});

describe('with a wiring file', () => {
  test('slope, offset, unit and sign become two numbers', () => {
    const [column] = planOf(volts, [
      { ...torque, unit: 'ftlb', slope: 10, offset: 2, sign: -1 },
    ]).columns;
    expect(column?.slope).toBeCloseTo(-13.558179483314, 10);
    expect(column?.offset).toBeCloseTo(-2.7116358966628, 10);
    expect(column).toMatchObject({ name: 'torque_Nm', unit: 'Nm', channel: 'ai0', source: 0 });
  });

  test('without a slope, units of one kind are converted and others are asked for', () => {
    const format = device({ name: 'pot', unit: 'rad' }, { name: 'x' }, { name: 'emg', unit: 'mV' });
    const angle = { channel: 'pot', quantity: 'angle', unit: 'rad' };
    const emg = { channel: 2, quantity: 'emg', unit: 'uV', name: 'emgVastus_uV' };
    const plan = planOf(format, [angle, emg]);
    expect(plan.columns[0]?.slope).toBeCloseTo(57.29577951308232, 12);
    expect(plan.columns[1]?.slope).toBeCloseTo(1000, 9);
    expect(problemsOf(format, [{ ...angle, channel: 'x' }])).toEqual([
      'channels[0].slope is missing; x arrives without a unit, give rad for one raw unit',
    ]);
    expect(problemsOf(volts, [{ ...angle, channel: 1 }])).toEqual([
      'channels[0].slope is missing; ai1 arrives in V, give rad for one raw unit',
    ]);
  });

  test('a channel that the device does not send is told with those it sends', () => {
    expect(
      problemsOf(volts, [
        { ...torque, channel: 'ai7' },
        { ...torque, quantity: 'angle', unit: 'deg', channel: 2 },
      ]),
    ).toEqual([
      'channels[0].channel is "ai7"; the device sends 0 ai0, 1 ai1',
      'channels[1].channel is 2; the device sends 0 ai0, 1 ai1',
    ]);
  });

  test("the converter's ends follow scale and sign, the file's before the device's", () => {
    const format = device({ name: 'ai0', unit: 'V', rawMin: -10, rawMax: 10 });
    expect(planOf(format, [torque]).columns[0]?.converterEnds).toEqual([-1001.5, 998.5]);
    expect(planOf(format, [{ ...torque, sign: -1, rawMax: 5 }]).columns[0]?.converterEnds).toEqual([
      -498.5, 1001.5,
    ]);
    expect(planOf(volts, [torque]).columns[0]?.converterEnds).toBeNull();
    expect(planOf(volts, [{ ...torque, rawMax: 5 }]).columns[0]?.converterEnds).toEqual([
      -Infinity,
      498.5,
    ]);
  });

  test('a rate that differs from the announced one is told, and the device is followed', () => {
    const plan = planOf(volts, [torque], { rate_Hz: 2000 });
    expect(plan.rate_Hz).toBe(1000);
    expect(plan.notices).toEqual([
      'the wiring says 2000 Hz, the device 1000 Hz; the device is followed',
    ]);
  });

  test('a file without a torque is told so', () => {
    expect(planOf(volts, [{ ...torque, quantity: 'angle', unit: 'deg' }]).notices).toHaveLength(1);
  });
});
