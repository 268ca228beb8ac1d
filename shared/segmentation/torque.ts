/**
 * Torque made ready, piece by piece: spikes repaired, delay undone, smoothed, weight and inertia out.
 * Only the pieces around phases are computed, so an hour of signal needs no second hour of memory.
 */
import type { Conditions, Signal } from '../analysis-types.ts';
import { gradient } from '../dsp/derivative.ts';
import { advance } from '../dsp/shift.ts';
import { removeWeight } from '../gravity/remove.ts';
import type { Recipe } from '../recipe/recipe.ts';
import { lowpass } from './lowpass.ts';
import type { Motion } from './motion.ts';
import { copyWithoutSpikes } from './spikes.ts';
import { type Clock, type Span, stretchesWithin } from './stretches.ts';

/** Columns of one piece; index 0 is sample `offset` of the signal. Torque is the muscles', signed. */
export interface Piece {
  readonly offset: number;
  readonly rate_Hz: number;
  readonly time_s: Float64Array;
  /** Smoothed by the recipe. */
  readonly torque_Nm: Float64Array;
  /** Not smoothed. */
  readonly unfiltered_Nm: Float64Array;
  readonly angle_deg: Float64Array | null;
  readonly velocity_degps: Float64Array | null;
  readonly spans: readonly Span[];
  readonly unevenness: number;
}

export interface TorqueSource {
  readonly signal: Signal;
  readonly motion: Motion | null;
  readonly clock: Clock;
  readonly conditions: Conditions;
  readonly recipe: Recipe;
  /** For torque without sign: the movement's sign at a sample. */
  readonly signAt: ((sample: number) => 1 | -1) | null;
}

/** The filter has forgotten what lies this many periods of its cut-off away (1e-15 of it is left). */
const PERIODS_REMEMBERED = 8;
/** Samples beside a piece that spike repair looks at. */
const SPIKE_NEIGHBOURS = 30;

/** Room for the torque of one piece after the other: fresh memory for each would cost more than its filter. */
export class TorqueRoom {
  #unfiltered = new Float64Array();
  #smooth = new Float64Array();

  /** Two columns of n samples, overwritten by the next call. */
  of(n: number): readonly [unfiltered: Float64Array, smooth: Float64Array] {
    if (this.#smooth.length < n) {
      this.#unfiltered = new Float64Array(n);
      this.#smooth = new Float64Array(n);
    }
    return [this.#unfiltered.subarray(0, n), this.#smooth.subarray(0, n)];
  }
}

/** The piece for a span, with the same numbers as if the whole signal had been one piece. */
export function pieceOf(
  source: TorqueSource,
  span: Span,
  cutOff_Hz: number | null,
  room = new TorqueRoom(),
): Piece {
  const { signal, motion, recipe } = source;
  const { stretches, unevenness } = source.clock;
  const { rate_Hz, time_s } = signal;
  const margin = marginOf(source, cutOff_Hz);
  const offset = Math.max(0, span.first - margin);
  const end = Math.min(time_s.length, span.end + margin);
  const [unfiltered_Nm, torque_Nm] = room.of(end - offset);
  readTorque(source, offset, unfiltered_Nm);
  const stamps = time_s.subarray(offset, end);
  torque_Nm.set(unfiltered_Nm);
  const spans = stretchesWithin(stretches, { first: offset, end }).map((part) => ({
    first: part.first - offset,
    end: part.end - offset,
  }));
  const { dualPass } = recipe.conditioning;
  lowpass(torque_Nm, stamps, spans, { rate_Hz, cutOff_Hz, dualPass, unevenness }, torque_Nm);
  const angle_deg = motion?.angle_deg.subarray(offset, end) ?? null;
  const velocity_degps = motion?.velocity_degps.subarray(offset, end) ?? null;
  const piece = {
    offset,
    rate_Hz,
    time_s: stamps,
    torque_Nm,
    unfiltered_Nm,
    angle_deg,
    velocity_degps,
    spans,
    unevenness,
  };
  takeOutMachine(source, piece);
  return piece;
}

/** Smooths a changed unfiltered column again; both columns have weight out already. */
export function smoothAgain(piece: Piece, unfiltered_Nm: Float64Array, recipe: Recipe): Piece {
  const { torqueLowpass_Hz: cutOff_Hz, dualPass } = recipe.conditioning;
  const torque_Nm = unfiltered_Nm.slice();
  const { rate_Hz, time_s, spans, unevenness } = piece;
  lowpass(torque_Nm, time_s, spans, { rate_Hz, cutOff_Hz, dualPass, unevenness }, torque_Nm);
  return { ...piece, torque_Nm, unfiltered_Nm };
}

function marginOf({ recipe, signal }: TorqueSource, cutOff_Hz: number | null): number {
  const { delay_ms } = recipe.conditioning;
  const remembered_s = cutOff_Hz === null ? 0 : PERIODS_REMEMBERED / cutOff_Hz;
  const seconds = remembered_s + Math.abs(delay_ms) / 1000;
  return Math.ceil(seconds * signal.rate_Hz) + SPIKE_NEIGHBOURS;
}

function readTorque(source: TorqueSource, offset: number, out: Float64Array): void {
  const { signal, recipe, signAt } = source;
  const { conditioning } = recipe;
  const read = signal.torque_Nm.subarray(offset, offset + out.length);
  copyWithoutSpikes(read, conditioning.spike_Nm, conditioning, signal.rate_Hz, out);
  const shift = (conditioning.delay_ms / 1000) * signal.rate_Hz;
  if (shift !== 0) out.set(advance(out, shift));
  if (signAt === null) return;
  for (let i = 0; i < out.length; i += 1) out[i] = Math.abs(out[i]) * signAt(offset + i);
}

/** Weight by the angle, and where the recipe says so what speeding up limb and lever takes. */
function takeOutMachine({ conditions, recipe }: TorqueSource, piece: Piece): void {
  const { torque_Nm, unfiltered_Nm, angle_deg, velocity_degps, rate_Hz } = piece;
  const gravity = conditions.gravity ?? { kind: 'none' };
  if (gravity.kind !== 'none' && angle_deg !== null) {
    removeWeight(gravity, torque_Nm, angle_deg, torque_Nm);
    removeWeight(gravity, unfiltered_Nm, angle_deg, unfiltered_Nm);
  }
  const { inertia_kgm2 } = recipe.conditioning;
  if (inertia_kgm2 === null || velocity_degps === null) return;
  const acceleration_degps2 = gradient(velocity_degps, rate_Hz);
  for (let i = 0; i < torque_Nm.length; i += 1) {
    const inertial_Nm = (inertia_kgm2 * acceleration_degps2[i] * Math.PI) / 180;
    torque_Nm[i] += inertial_Nm;
    unfiltered_Nm[i] += inertial_Nm;
  }
}
