/**
 * A slow passive sweep as points over angle: each direction averaged in bins, then the two directions
 * averaged, so that friction, damping and hysteresis, which change sign with the movement, cancel.
 */
import { type PassivePoint, RAD_PER_DEG } from './sinusoid.ts';

export interface SweepOptions {
  /** Width of a bin. */
  readonly bin_deg: number;
  /** Slower samples are turning points and rest: left out. */
  readonly still_degps: number;
  /** A bin needs this many samples in a direction to count for it. */
  readonly leastSamples: number;
}

/** Common practice, no source: bins far below the curvature of any passive torque. */
export const SWEEP_OPTIONS: SweepOptions = { bin_deg: 1, still_degps: 0.5, leastSamples: 3 };

export interface Sweep {
  /** At rising angles. Bins that both directions passed; if one direction only was swept, its bins. */
  readonly points: readonly PassivePoint[];
  /** Half the mean difference of the directions, rising minus falling; null when swept one way only. */
  readonly friction_Nm: number | null;
  /** Angles that were swept [least, most], half a bin beyond the points; [NaN, NaN] without any. */
  readonly range_deg: readonly [number, number];
}

interface Bin {
  n: number;
  least: number;
  most: number;
  angle: number;
  cos: number;
  sin: number;
  torque: number;
}

/** NaN samples are left out. Velocity is the filtered one, its sign tells the direction. */
export function readSweep(
  angle_deg: ArrayLike<number>,
  torque_Nm: ArrayLike<number>,
  velocity_degps: ArrayLike<number>,
  options: SweepOptions = SWEEP_OPTIONS,
): Sweep {
  const bins = ([1, -1] as const).map((way) => {
    const slowest_degps = slowestKept_degps(velocity_degps, way, options.still_degps);
    const binned = new Map<number, Bin>();
    for (let i = 0; i < angle_deg.length; i += 1) {
      if (!(way * velocity_degps[i] >= slowest_degps)) continue;
      if (Number.isNaN(angle_deg[i]) || Number.isNaN(torque_Nm[i])) continue;
      addSample(binned, angle_deg[i], torque_Nm[i], options.bin_deg);
    }
    dropThin(binned, options.leastSamples);
    return binned;
  });
  return average(bins[0], bins[1]);
}

/** Speeding up, braking and jolts at the ends are slower than half the usual speed of a direction. */
function slowestKept_degps(velocity_degps: ArrayLike<number>, way: 1 | -1, still: number): number {
  const speeds: number[] = [];
  for (let i = 0; i < velocity_degps.length; i += 1) {
    const speed = way * velocity_degps[i];
    if (speed > still) speeds.push(speed);
  }
  const sorted = Float64Array.from(speeds).sort();
  return Math.max(still, (sorted[sorted.length >> 1] ?? 0) / 2);
}

/** A direction that covers less than this share of the other was not swept, it was a slip. */
const SWEPT_SHARE = 0.5;

function average(rising: ReadonlyMap<number, Bin>, falling: ReadonlyMap<number, Bin>): Sweep {
  const [longer, shorter] = rising.size >= falling.size ? [rising, falling] : [falling, rising];
  const isBothWays = shorter.size > 0 && shorter.size >= SWEPT_SHARE * longer.size;
  const points: PassivePoint[] = [];
  const range_deg: [number, number] = [Number.NaN, Number.NaN];
  let difference_Nm = 0;
  for (const key of [...longer.keys()].sort((a, b) => a - b)) {
    const one = longer.get(key);
    const other = isBothWays ? shorter.get(key) : one;
    if (one === undefined || other === undefined) continue;
    if (points.length === 0) range_deg[0] = Math.max(one.least, other.least);
    range_deg[1] = Math.min(one.most, other.most);
    points.push(meanPoint(one, other));
    const up = rising.get(key);
    const down = falling.get(key);
    if (up && down) difference_Nm += (up.torque / up.n - down.torque / down.n) / 2;
  }
  return {
    points,
    friction_Nm: isBothWays && points.length > 0 ? difference_Nm / points.length : null,
    range_deg,
  };
}

function addSample(
  bins: Map<number, Bin>,
  angle_deg: number,
  torque_Nm: number,
  width: number,
): void {
  const key = Math.floor(angle_deg / width);
  let bin = bins.get(key);
  if (bin === undefined) {
    bin = { n: 0, least: angle_deg, most: angle_deg, angle: 0, cos: 0, sin: 0, torque: 0 };
    bins.set(key, bin);
  }
  bin.n += 1;
  if (angle_deg < bin.least) bin.least = angle_deg;
  if (angle_deg > bin.most) bin.most = angle_deg;
  bin.angle += angle_deg;
  // Means of cosine and sine, not those of the mean angle: then a sinusoid is fitted without bias.
  bin.cos += Math.cos(angle_deg * RAD_PER_DEG);
  bin.sin += Math.sin(angle_deg * RAD_PER_DEG);
  bin.torque += torque_Nm;
}

function dropThin(bins: Map<number, Bin>, least: number): void {
  for (const [key, bin] of bins) if (bin.n < least) bins.delete(key);
}

/** Each direction weighs the same, however long it stayed. */
function meanPoint(a: Bin, b: Bin): PassivePoint {
  const mean = (value: (bin: Bin) => number) => (value(a) / a.n + value(b) / b.n) / 2;
  return {
    angle_deg: mean((bin) => bin.angle),
    cos: mean((bin) => bin.cos),
    sin: mean((bin) => bin.sin),
    torque_Nm: mean((bin) => bin.torque),
  };
}
