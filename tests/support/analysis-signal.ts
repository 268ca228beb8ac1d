/** Reciprocal sets made of simple pieces, for tests of the analysis: what was put in is known exactly. */
import type { Signal } from '../../shared/analysis-types.ts';

export interface SetOptions {
  readonly rate_Hz?: number;
  readonly speed_degps?: number;
  readonly acceleration_degps2?: number;
  readonly range_deg?: number;
  readonly start_deg?: number;
  readonly repetitions?: number;
  readonly pause_s?: number;
  readonly lead_s?: number;
  /** Peak torque of movements toward rising and falling angle. */
  readonly peaks_Nm?: readonly [rising: number, falling: number];
  /** Eccentric movements toward falling angle: torque stays positive. */
  readonly isFallingEccentric?: boolean;
  /** Share of the range that one movement covers, by its number from 0. */
  readonly share?: (movement: number) => number;
  /** Small deterministic noise of torque (Nm) and angle (deg). */
  readonly noise?: readonly [torque_Nm: number, angle_deg: number];
  readonly seed?: number;
}

/** Starts low, rises first. Torque of each movement is a half sine over its travel. */
export function reciprocalSet(options: SetOptions = {}): Signal {
  const { rate_Hz = 1000, speed_degps = 60, range_deg = 80, start_deg = 10 } = options;
  const { acceleration_degps2 = 1500, repetitions = 3, pause_s = 0.4, lead_s = 1 } = options;
  const { peaks_Nm = [100, 180], isFallingEccentric = false, share = () => 1 } = options;
  const torque: number[] = [];
  const angle: number[] = [];
  let at = start_deg;
  const rest = (seconds: number) => {
    for (let i = 0; i < Math.round(seconds * rate_Hz); i += 1) {
      torque.push(0);
      angle.push(at);
    }
  };
  rest(lead_s);
  for (let movement = 0; movement < 2 * repetitions; movement += 1) {
    const way = movement % 2 === 0 ? 1 : -1;
    const travel = range_deg * share(movement);
    const peak = way === 1 ? peaks_Nm[0] : (isFallingEccentric ? 1 : -1) * peaks_Nm[1];
    for (const done of trapezoidalTravel(travel, speed_degps, acceleration_degps2, rate_Hz)) {
      torque.push(peak * Math.sin((Math.PI * done) / travel));
      angle.push(at + way * done);
    }
    at += way * travel;
    rest(pause_s);
  }
  rest(lead_s);
  const random = seeded(options.seed ?? 1);
  const [torqueNoise, angleNoise] = options.noise ?? [0, 0];
  return {
    rate_Hz,
    time_s: Float64Array.from(torque, (_, i) => i / rate_Hz),
    torque_Nm: Float64Array.from(torque, (value) => value + torqueNoise * (random() - 0.5)),
    angle_deg: Float64Array.from(angle, (value) => value + angleNoise * (random() - 0.5)),
    velocity_degps: null,
    flags: [],
  };
}

/** Travel from 0 to the whole at the samples after the start: speeds up, holds, brakes. */
function trapezoidalTravel(
  travel: number,
  speed: number,
  acceleration: number,
  rate_Hz: number,
): number[] {
  const ramp_s = Math.min(speed / acceleration, Math.sqrt(travel / acceleration));
  const top = acceleration * ramp_s;
  const hold_s = travel / top - ramp_s;
  const whole_s = 2 * ramp_s + hold_s;
  return Array.from({ length: Math.ceil(whole_s * rate_Hz) }, (_, i) => {
    const t = Math.min(whole_s, (i + 1) / rate_Hz);
    if (t < ramp_s) return (acceleration * t * t) / 2;
    if (t < ramp_s + hold_s) return (acceleration * ramp_s * ramp_s) / 2 + top * (t - ramp_s);
    return travel - (acceleration * (whole_s - t) ** 2) / 2;
  });
}

/** Lehmer's generator; the same seed gives the same numbers. */
export function seeded(seed: number): () => number {
  let state = seed % 2147483647 || 1;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}

/** The signal with one column changed sample by sample. */
export function withColumn(
  signal: Signal,
  column: 'torque_Nm' | 'angle_deg' | 'time_s',
  change: (value: number, i: number) => number,
): Signal {
  const values = signal[column];
  return values === null ? signal : { ...signal, [column]: values.map(change) };
}

/** The signal without the rows of a half-open span. */
export function withoutRows(signal: Signal, first: number, end: number): Signal {
  const cut = (x: Float64Array) => Float64Array.of(...x.subarray(0, first), ...x.subarray(end));
  return {
    ...signal,
    time_s: cut(signal.time_s),
    torque_Nm: cut(signal.torque_Nm),
    angle_deg: signal.angle_deg && cut(signal.angle_deg),
  };
}
