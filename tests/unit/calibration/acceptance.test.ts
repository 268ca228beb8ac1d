/** Calibrations that must be refused, with the reason and the point that spoils them. */
import { describe, expect, it } from 'vitest';
import {
  ANGLE_LIMITS,
  judgeCalibration,
  TORQUE_LIMITS,
} from '../../../shared/calibration/acceptance.ts';
import { type CalibrationPoint, fitCalibration } from '../../../shared/calibration/fit.ts';

const LOADS_NM = [-120, -80, -40, 0, 40, 80, 120];

/** 100 Nm a volt, loads up and down with 0.1 Nm between the branches, 0.03 Nm of scatter. */
function points(): CalibrationPoint[] {
  const branch = (kind: CalibrationPoint['branch'], shift_V: number): CalibrationPoint[] =>
    LOADS_NM.map((reference, i) => ({
      output: reference / 100 + 0.02 + shift_V + 0.0003 * Math.sin(7 * i + (shift_V > 0 ? 1 : 0)),
      reference,
      branch: kind,
    }));
  return [...branch('loading', 0), ...branch('unloading', 0.001)];
}

function judged(changed: readonly CalibrationPoint[], toMeasure = 150, limits = TORQUE_LIMITS) {
  const fit = fitCalibration(changed);
  if (fit === null) throw new Error('no fit');
  return judgeCalibration(changed, fit, toMeasure, limits);
}

describe('acceptance of a calibration', () => {
  it('takes a good one', () => {
    expect(judged(points())).toEqual({ isAccepted: true, reasons: [], suspect: null });
  });

  it('finds a load that was not what was written down', () => {
    const changed = points().map((point) =>
      point.reference === 80 ? { ...point, reference: 90 } : point,
    );
    const { isAccepted, suspect, reasons } = judged(changed);
    expect(isAccepted).toBe(false);
    expect(suspect).toMatchObject({ kind: 'reference', points: [5, 12], reference: 90 });
    expect(suspect?.byOthers).toBeCloseTo(80, 0);
    expect(reasons.at(-1)).toBe(
      'Points 6 and 13: stated as 90.00 Nm, the others make it 79.99 Nm on every reading. Was the load, ' +
        'its arm or its position what was written down?',
    );
  });

  it('finds a reading that had not settled', () => {
    const changed = points().map((point, i) =>
      i === 4 ? { ...point, output: point.output + 0.03 } : point,
    );
    const { suspect, reasons } = judged(changed);
    expect(suspect).toMatchObject({ kind: 'reading', points: [4], reference: 40 });
    expect(reasons.some((reason) => reason.startsWith('Loading and unloading differ'))).toBe(true);
    expect(reasons.at(-1)).toContain('Was the reading settled?');
  });

  it('finds it in data without any other scatter', () => {
    const exact = points().map((point) => ({ ...point, output: point.reference / 100 }));
    const changed = exact.map((point, i) => (i === 4 ? { ...point, output: 0.5 } : point));
    expect(judged(changed).suspect).toMatchObject({ kind: 'reading', points: [4] });
  });

  it('just short of the limits is taken, just beyond is not', () => {
    const bent = (by_Nm: number) =>
      points().map((point) => ({
        ...point,
        output: point.output + (Math.abs(point.reference) === 120 ? by_Nm / 100 : 0),
      }));
    expect(judged(bent(1.2)).isAccepted).toBe(true);
    expect(judged(bent(3.5)).isAccepted).toBe(false);
  });

  it('asks for loads, reach, branches and directions', () => {
    const few = points().filter((point) => point.reference === 0 || point.reference === 40);
    expect(judged(few).reasons).toEqual([
      '2 unequal points; at least 5.',
      'The points reach 40.00 Nm; 80 % of 150.00 Nm is needed.',
      'Loaded in one direction of rotation only.',
    ]);
    const oneBranch = points().filter((point) => point.branch === 'loading');
    expect(judged(oneBranch).reasons).toEqual([
      'Read while loading and while unloading: one of them is missing.',
    ]);
  });

  it('takes an angle from three positions of a goniometer', () => {
    const angle: CalibrationPoint[] = [
      { output: 412, reference: 0, branch: 'loading' },
      { output: 1410, reference: 45, branch: 'loading' },
      { output: 2415, reference: 90, branch: 'loading' },
    ];
    expect(judged(angle, 90, ANGLE_LIMITS).isAccepted).toBe(true);
    const off = angle.map((point, i) => (i === 1 ? { ...point, reference: 49 } : point));
    expect(judged(off, 90, ANGLE_LIMITS).reasons[0]).toMatch(/Point 2 is 2\.\d+ deg off the line/);
  });

  it('makes no line of one point or of equal readings', () => {
    expect(fitCalibration(points().slice(0, 1))).toBeNull();
    expect(fitCalibration(points().map((point) => ({ ...point, output: 1 })))).toBeNull();
  });
});
