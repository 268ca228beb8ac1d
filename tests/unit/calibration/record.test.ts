/** To what a calibration record belongs, how old it is, and whether it still holds. */
import { describe, expect, it } from 'vitest';
import { TORQUE_LIMITS } from '../../../shared/calibration/acceptance.ts';
import type { CalibrationPoint } from '../../../shared/calibration/fit.ts';
import { ageInDays, calibrationRecord, whyNotFor } from '../../../shared/calibration/record.ts';
import { readTare, zeroDrift } from '../../../shared/calibration/tare.ts';
import { verifyCalibration } from '../../../shared/calibration/verification.ts';

const NORTH = { station: 'North', channel: 'ai0', outputSettings: { gain: '100 Nm/V' } };
const POINTS: CalibrationPoint[] = [-100, -50, 0, 50, 100, 50, 0, -50, -100].map(
  (reference, i) => ({
    output: reference / 100 + (i % 2) * 1e-4,
    reference,
    branch: i < 5 ? 'loading' : 'unloading',
  }),
);

function record() {
  const made = calibrationRecord(NORTH, '2026-11-02', POINTS, 120, TORQUE_LIMITS);
  if (made === null) throw new Error('no record');
  return made;
}

describe('calibration record', () => {
  it('survives JSON', () => {
    expect(JSON.parse(JSON.stringify(record()))).toEqual(record());
    expect(record()).toMatchObject({
      unit: 'Nm',
      date: '2026-11-02',
      acceptance: { isAccepted: true },
    });
  });

  it('belongs to station, channel and output settings', () => {
    expect(whyNotFor(record(), NORTH)).toBeNull();
    expect(whyNotFor(record(), { ...NORTH, station: 'South' })).toBe(
      'It was made at station North, this is South.',
    );
    expect(whyNotFor(record(), { ...NORTH, channel: 'ai1' })).toContain('channel ai0');
    expect(whyNotFor(record(), { ...NORTH, outputSettings: { gain: '50 Nm/V' } })).toBe(
      'Output setting gain was 100 Nm/V, it is 50 Nm/V.',
    );
    expect(whyNotFor(record(), { ...NORTH, outputSettings: {} })).toBe(
      'Output setting gain was 100 Nm/V, it is not stated.',
    );
  });

  it('has an age', () => {
    expect(ageInDays(record(), '2026-11-02')).toBe(0);
    expect(ageInDays(record(), '2026-12-02')).toBe(30);
    expect(ageInDays(record(), '2026-11-01')).toBe(-1);
    expect(ageInDays(record(), 'yesterday')).toBeNaN();
  });

  it('no line, no record', () => {
    expect(calibrationRecord(NORTH, '2026-11-02', [], 120, TORQUE_LIMITS)).toBeNull();
  });
});

describe('verification', () => {
  it('holds within the limit, zero taken off', () => {
    const check: CalibrationPoint[] = [{ output: 0.53, reference: 50, branch: 'loading' }];
    expect(verifyCalibration(record(), check, 3, '2026-11-25')).toMatchObject({
      holds: true,
      date: '2026-11-25',
      calibrationDate: '2026-11-02',
      limit: 1,
    });
    expect(verifyCalibration(record(), check, 0, '2026-11-25')).toMatchObject({
      holds: false,
      reasons: ['50.00 Nm reads 52.99 Nm; at most 1.00 Nm off.'],
    });
  });

  it('without a load does not hold', () => {
    expect(verifyCalibration(record(), [], 0, '2026-11-25').holds).toBe(false);
  });
});

describe('tare', () => {
  const still = Array.from({ length: 1000 }, (_, i) => 0.4 + 0.1 * Math.sin(i));

  it('is the mean of still, unloaded samples', () => {
    const read = readTare(still, 1000, 0.5);
    if (!('tare' in read)) throw new Error(read.problem);
    expect(read.tare.zero).toBeCloseTo(0.4, 3);
    expect(zeroDrift(read.tare, { ...read.tare, zero: 0.9 })).toBeCloseTo(0.5, 3);
  });

  it('is refused when it moves or is too short', () => {
    expect(readTare(still, 1000, 0.05)).toHaveProperty('problem');
    expect(readTare(still, 2000, 0.5)).toHaveProperty('problem');
    expect(readTare([], 1000, 0.5)).toHaveProperty('problem');
  });
});
