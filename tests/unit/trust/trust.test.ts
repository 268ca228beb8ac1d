/** The trust record: sums that must agree, speeds that were set and reached, and what nobody measured. */
import { describe, expect, test } from 'vitest';
import type { Phase, Signal } from '../../../shared/analysis-types.ts';
import type { StartDocument } from '../../../shared/record/documents.ts';
import { energyCheck } from '../../../shared/trust/energy.ts';
import { speedChecks } from '../../../shared/trust/speed.ts';
import { trustRecord, type TrustInput } from '../../../shared/trust/trust.ts';

const RATE_HZ = 1000;

/** A constant 60 N·m over 90 degrees at 60 deg/s: W = T * angle = 60 * pi / 2 = 94.2478 J (mechanics). */
function steady({ delay = 0, velocityScale = 0 } = {}): Signal {
  const n = 1501;
  const columnOf = (value: (i: number) => number) =>
    Float64Array.from({ length: n }, (_, i) => value(i));
  return {
    rate_Hz: RATE_HZ,
    time_s: columnOf((i) => i / RATE_HZ),
    torque_Nm: columnOf((i) => 60 * (i < delay ? 0 : 1)),
    angle_deg: columnOf((i) => (60 * i) / RATE_HZ),
    velocity_degps: velocityScale === 0 ? null : columnOf(() => 60 * velocityScale),
    flags: [],
  };
}
const whole = [{ start_s: 0, end_s: 1.5, action: 'concentric' }] as const;

describe('energy', () => {
  test('over angle and over time is the same, and what mechanics says', () => {
    const check = energyCheck(steady(), whole);
    expect(check?.byAngle_J).toBeCloseTo(60 * (Math.PI / 2), 9);
    expect(check?.byTime_J).toBeCloseTo(60 * (Math.PI / 2), -0.5);
    expect(Math.abs(check?.difference_pct ?? 99)).toBeLessThan(0.3);
    expect(check?.velocity).toBe('computed');
  });

  test('a velocity channel that is scaled by 1.1 shows as ten percent', () => {
    const check = energyCheck(steady({ velocityScale: 1.1 }), whole);
    expect(check?.difference_pct).toBeCloseTo(10, 6);
    expect(check?.velocity).toBe('measured');
  });

  test('there is none without movement or angle', () => {
    expect(energyCheck(steady(), [])).toBeNull();
    expect(energyCheck({ ...steady(), angle_deg: null }, whole)).toBeNull();
    expect(energyCheck(steady(), [{ ...whole[0], action: 'isometric' }])).toBeNull();
  });
});

const phase = (targetSpeed_degps: number, range_deg: number): Phase => ({
  ...{ repetition: 1, direction: 'rising', effort: 'rising', action: 'concentric' },
  ...{ start_s: 0, end_s: 1, counts: true, reasons: [], rangeOfMotion_deg: range_deg },
  ...{ peakVelocity_degps: null, peakTorque_Nm: null, peakTorqueTime_s: null },
  ...{ angleAtPeakTorque_deg: null, timeToPeakTorque_s: null, work_J: null, meanPower_W: null },
  ...{ peakPower_W: null, impulse_Nms: null, meanTorque_Nm: null, onset_s: null },
  loadRange: {
    ...{ start_s: 0, end_s: 1, range_deg, peakTorque_Nm: null, work_J: null, meanPower_W: null },
  },
  rateOfTorqueDevelopment_Nmps: null,
  targetSpeed_degps,
});

test('speeds are compared for each that was set', () => {
  expect(speedChecks([phase(60, 59), phase(60, 61), phase(30, 33)])).toEqual([
    {
      ...{ commanded_degps: 30, phases: 1, difference_pct: expect.closeTo(10, 9) as number },
      measured_degps: { mean: 33, least: 33, most: 33 },
    },
    {
      ...{ commanded_degps: 60, phases: 2, difference_pct: expect.closeTo(0, 9) as number },
      measured_degps: { mean: 60, least: 59, most: 61 },
    },
  ]);
});

const NOTHING: TrustInput = {
  ...{ recording: 'r', start: null, stop: null, integrity: 'unknown', rate_Hz: null },
  ...{ measuredRate_Hz: null, columns: [], tares: [], signal: null, phases: [] },
};
const states = (input: TrustInput) =>
  Object.fromEntries(trustRecord(input).lines.map(({ topic, state }) => [topic, state]));

describe('the record', () => {
  test('of what nobody measured says unknown, never known', () => {
    expect(states(NOTHING)).toEqual({
      ...{ status: 'look', integrity: 'unknown', polarity: 'unknown', tare: 'unknown' },
      ...{ weight: 'unknown', delays: 'unknown', rate: 'unknown', gaps: 'unknown' },
      ...{ durability: 'unknown', energy: 'unknown' },
    });
  });

  test('tells drift of zero, an old calibration, a rate that is off', () => {
    const column = {
      ...{ name: 'torque_Nm', unit: 'Nm', channel: 'ai0', source: 0, slope: 1, offset: 0 },
      ...{ delay_ms: 4, delayUncertainty_ms: 0.5, converterEnds: null },
    };
    const calibration = { date: '2026-01-05', acceptance: { isAccepted: true } };
    const start = {
      ...{
        document: 'start',
        version: 1,
        id: 'r',
        name: '',
        startedAt: '2026-11-25T09:00:00.000Z',
      },
      ...{ startedAt_ns: 0, software: '', station: '', stream: null, recipe: null },
      source: { url: '', kind: 'device' as const, format: 'packets' },
      ...{ conditions: {}, gravity: { kind: 'none' } },
      wiring: { channels: [{ channel: 'ai0', calibration }] },
    } satisfies StartDocument;
    const input: TrustInput = {
      ...{ ...NOTHING, start, columns: [column], tares: [0.2, 1.7] },
      ...{ rate_Hz: 1000, measuredRate_Hz: 1002, integrity: 'crc32' },
    };
    const { lines, calibrations, tare } = trustRecord(input);
    expect(calibrations).toEqual([
      { column: 'torque_Nm', date: '2026-01-05', age_days: 324, isAccepted: true },
    ]);
    expect(tare).toEqual({ before_Nm: 0.2, after_Nm: 1.7 });
    expect(states(input)).toMatchObject({
      ...{ calibrations: 'look', tare: 'look', rate: 'look', delays: 'known' },
      ...{ integrity: 'known', weight: 'known' },
    });
    const text = lines.map((line) => line.text).join(' ');
    expect(text).toContain('torque_Nm 4.0 ms (+-0.5 ms)');
    expect(text).toContain('2000 ppm');
    expect(text).not.toMatch(/\b(safe|normal|deficit)\b|OK/i);
  });
});
