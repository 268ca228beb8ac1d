/**
 * The shapes of the simulator's surface against another model made from other data: the tables of
 * Millard et al. 2019 (J Biomech 89:11-20; curveTables of mjhmilla/MillardEmondsHarantMombaur2019).
 * They are of one young gymnast, so the shapes must be alike, not the same.
 */
import { describe, expect, test } from 'vitest';
import { angleFactor, velocityFactor, type MuscleGroup } from '../../shared/simulation/surface.ts';
import { hasReferenceData, referenceText } from '../support/reference-data.ts';

/**
 * Column of the tables; the factor from our angle to theirs (dorsiflexion and flexion are ours) and
 * from our speed of shortening to theirs; how far the best angles and the shapes may be apart.
 */
const GROUPS = [
  {
    group: 'kneeExtension',
    column: 2,
    angle: 1,
    speed: -1,
    best_deg: 12,
    shape: 0.3,
    range: [0, 80],
  },
  { group: 'kneeFlexion', column: 3, angle: 1, speed: 1, best_deg: 35, shape: 0.3, range: [0, 80] },
  {
    group: 'anklePlantarflexion',
    column: 4,
    angle: -1,
    speed: 1,
    best_deg: 3,
    shape: 0.2,
    range: [-35, 15],
  },
  {
    group: 'ankleDorsiflexion',
    column: 5,
    angle: -1,
    speed: -1,
    best_deg: 3,
    shape: 0.03,
    range: [-35, 15],
  },
] as const satisfies readonly {
  group: MuscleGroup;
  column: number;
  angle: 1 | -1;
  speed: 1 | -1;
  best_deg: number;
  shape: number;
  range: readonly [number, number];
}[];
const DEG = Math.PI / 180;

describe.runIf(hasReferenceData())('joint-torque-curves', () => {
  test.each(GROUPS)(
    'torque over angle: $group',
    ({ group, column, angle, best_deg, shape, range }) => {
      const theirs = curve('jointAngle.csv', 'activeTorqueAngleMultiplier.csv', column);
      const [least, most] = range;
      const angles = Array.from({ length: 1 + (most - least) / 5 }, (_, k) => least + 5 * k);
      const best = (value: (at: number) => number) =>
        angles.reduce((a, b) => (value(b) > value(a) ? b : a), least);
      const ours = (at: number) => angleFactor(group, 'male', at * DEG);
      const other = (at: number) => theirs(angle * at * DEG);
      for (const at of angles) expect(Math.abs(ours(at) - other(at))).toBeLessThan(shape);
      expect(Math.abs(best(ours) - best(other))).toBeLessThan(best_deg);
    },
  );

  test.each(GROUPS)('torque over speed: $group', ({ group, column, speed }) => {
    const theirs = curve('jointAngularVelocity.csv', 'torqueVelocityMultiplier.csv', column);
    const other = (at: number) => theirs(speed * at * DEG) / theirs(0);
    const ours = (at: number, gain = 1) => velocityFactor(group, 'male', at * DEG, gain);
    for (const at of [30, 60, 120, 180, 240]) {
      expect(Math.abs(ours(at) - other(at))).toBeLessThan(0.18);
      expect(ours(at)).toBeLessThan(ours(at - 30));
      expect(other(at)).toBeLessThan(other(at - 30));
    }
    // Lengthening is flat in theirs as well, 1.1 to 1.25 times isometric: within our option's reach.
    expect(other(-180) / other(-60)).toBeLessThan(1.06);
    expect(ours(-180, 1.2)).toBeGreaterThan(other(-180) * 0.95);
    expect(ours(-180, 1)).toBeLessThan(other(-180));
  });

  test('dorsiflexion loses torque with speed faster than plantarflexion, extension than flexion', () => {
    const left = (column: number, speed: 1 | -1) =>
      curve('jointAngularVelocity.csv', 'torqueVelocityMultiplier.csv', column)(speed * 120 * DEG);
    const ours = (group: MuscleGroup) => velocityFactor(group, 'male', 120 * DEG, 1);
    expect(left(5, -1)).toBeLessThan(left(4, 1));
    expect(ours('ankleDorsiflexion')).toBeLessThan(ours('anklePlantarflexion'));
    expect(left(2, -1)).toBeLessThan(left(3, 1));
    expect(ours('kneeExtension')).toBeLessThan(ours('kneeFlexion'));
  });
});

/** The table's curve by linear interpolation; NaN outside. */
function curve(xFile: string, yFile: string, column: number): (x: number) => number {
  const read = (file: string) =>
    referenceText('joint-torque-curves', file)
      .trim()
      .split(/\r?\n/)
      .map((line) => Number(line.split(',')[column]));
  const ys = read(yFile);
  const points = read(xFile)
    .map((x, i) => ({ x, y: ys[i] ?? NaN }))
    .sort((a, b) => a.x - b.x);
  return (x) => {
    const after = points.findIndex((point) => point.x >= x);
    const [a, b] = [points[after - 1], points[after]];
    return a && b ? a.y + ((b.y - a.y) * (x - a.x)) / (b.x - a.x) : NaN;
  };
}
