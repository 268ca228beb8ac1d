/**
 * Seeded curves for driving pages: an ankle set of reciprocal repetitions as a tester would see it.
 * For pictures and page states only; physics lives in the simulator, measures in the analysis.
 */
import type { Phase } from '../../shared/analysis-types.ts';

export interface CurveOptions {
  readonly rate_Hz: number;
  readonly nRepetitions: number;
  readonly speed_degps: number;
  readonly seed?: number;
}

export interface Curves {
  readonly torque_Nm: Float32Array;
  readonly angle_deg: Float32Array;
  readonly velocity_degps: Float32Array;
  readonly phases: readonly Phase[];
}

const TOP_DEG = 15;
const BOTTOM_DEG = -35;
const PAUSE_S = 0.34;
const LEAD_S = 1;

/** Mulberry32: a small seeded generator, uniform in [0, 1). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

/** A rest, then the repetitions, each plantarflexion first; the third one short of its range. */
export function ankleSet(options: CurveOptions): Curves {
  const { rate_Hz, nRepetitions, speed_degps } = options;
  const chance = seeded(options.seed ?? 3);
  const torque: number[] = [];
  const angle: number[] = [];
  const velocity: number[] = [];
  const phases: Phase[] = [];
  const rest = (seconds: number, at_deg: number) => {
    for (let i = 0; i < seconds * rate_Hz; i += 1) {
      torque.push(0.3 * (chance() - 0.5));
      angle.push(at_deg + 0.02 * (chance() - 0.5));
      velocity.push(0.8 * (chance() - 0.5));
    }
  };
  rest(LEAD_S, TOP_DEG);
  let at_deg = TOP_DEG;
  for (let repetition = 1; repetition <= nRepetitions; repetition += 1) {
    const isShort = repetition === 3;
    const bottom = isShort ? -21 : BOTTOM_DEG;
    for (const way of [-1, 1] as const) {
      const to_deg = way < 0 ? bottom : repetition === 2 ? 16.8 : TOP_DEG;
      const size = (isShort ? 0.92 : 1) * (0.96 + 0.06 * chance());
      const begin = torque.length;
      stroke(
        { torque, angle, velocity },
        { at_deg, to_deg, way, size, speed_degps, rate_Hz, chance },
      );
      phases.push(judge({ torque, angle, begin, rate_Hz, repetition, way, isShort }));
      at_deg = to_deg;
      rest(PAUSE_S, at_deg);
    }
  }
  return {
    torque_Nm: Float32Array.from(torque),
    angle_deg: Float32Array.from(angle),
    velocity_degps: Float32Array.from(velocity),
    phases,
  };
}

interface Stroke {
  readonly at_deg: number;
  readonly to_deg: number;
  readonly way: -1 | 1;
  readonly size: number;
  readonly speed_degps: number;
  readonly rate_Hz: number;
  readonly chance: () => number;
}

function stroke(
  to: { readonly torque: number[]; readonly angle: number[]; readonly velocity: number[] },
  how: Stroke,
): void {
  const range = Math.abs(how.to_deg - how.at_deg);
  const n = Math.round((range / how.speed_degps) * how.rate_Hz);
  for (let i = 0; i < n; i += 1) {
    const done = i / n;
    const ramp = Math.min(1, done / 0.06, (1 - done) / 0.06);
    const shape = how.way < 0 ? strongEarly(done) : plateau(done);
    const peak = how.way < 0 ? -96 : 29;
    to.torque.push(peak * how.size * shape + 1.1 * (how.chance() - 0.5));
    to.angle.push(how.at_deg + (how.to_deg - how.at_deg) * done);
    to.velocity.push(how.way * how.speed_degps * ramp * (1 + 0.01 * (how.chance() - 0.5)));
  }
}

function strongEarly(done: number): number {
  const rise = Math.min(1, done / 0.14);
  return rise * rise * (3 - 2 * rise) * Math.max(0, 1 - 0.95 * Math.max(0, done - 0.14) ** 0.85);
}

function plateau(done: number): number {
  return Math.max(0, 1 - (1 - Math.min(1, done / 0.2)) ** 3) * Math.min(1, (1 - done) / 0.12);
}

function judge(of: {
  readonly torque: readonly number[];
  readonly angle: readonly number[];
  readonly begin: number;
  readonly rate_Hz: number;
  readonly repetition: number;
  readonly way: -1 | 1;
  readonly isShort: boolean;
}): Phase {
  const { torque, angle, begin, rate_Hz, repetition, way, isShort } = of;
  const end = torque.length;
  let peak = begin;
  let work_J = 0;
  for (let i = begin; i < end; i += 1) {
    if ((torque[i] ?? 0) * way > (torque[peak] ?? 0) * way) peak = i;
    const step_deg = (angle[i] ?? 0) - (angle[i - 1] ?? angle[i] ?? 0);
    work_J += ((torque[i] ?? 0) * step_deg * Math.PI) / 180;
  }
  const seconds = (end - begin) / rate_Hz;
  const range_deg = Math.abs((angle[end - 1] ?? 0) - (angle[begin] ?? 0));
  const peakTorque_Nm = Math.abs(torque[peak] ?? 0);
  const direction = way < 0 ? 'plantarflexion' : 'dorsiflexion';
  return {
    repetition,
    direction,
    effort: direction,
    action: 'concentric',
    start_s: begin / rate_Hz,
    end_s: end / rate_Hz,
    counts: !isShort,
    reasons: isShort ? ['shortRange'] : [],
    rangeOfMotion_deg: range_deg,
    peakVelocity_degps: 60,
    peakTorque_Nm,
    peakTorqueTime_s: peak / rate_Hz,
    angleAtPeakTorque_deg: angle[peak] ?? null,
    timeToPeakTorque_s: (peak - begin) / rate_Hz,
    work_J: Math.abs(work_J),
    meanPower_W: Math.abs(work_J) / seconds,
    peakPower_W: peakTorque_Nm,
    impulse_Nms: null,
    meanTorque_Nm: Math.abs(work_J) / ((range_deg * Math.PI) / 180),
    loadRange: {
      start_s: (begin + 0.06 * (end - begin)) / rate_Hz,
      end_s: (end - 0.06 * (end - begin)) / rate_Hz,
      range_deg: range_deg * 0.92,
      peakTorque_Nm,
      work_J: Math.abs(work_J),
      meanPower_W: Math.abs(work_J) / seconds,
    },
    onset_s: null,
    rateOfTorqueDevelopment_Nmps: null,
  };
}
