/**
 * What accepted sweeps, or holds, say of the limb's weight: the gravity to remove, how well it describes
 * them, and what it removes at a named angle. A sinusoid where it fits, else the measured curve.
 */
import { curveOfHolds, curveOfSweep, type Hold } from '../gravity/curve.ts';
import type { Gravity } from '../gravity/gravity.ts';
import { weighAtOnePoint } from '../gravity/one-point.ts';
import { weightAt } from '../gravity/remove.ts';
import { fitSinusoid } from '../gravity/sinusoid.ts';
import { readSweep } from '../gravity/sweep.ts';
import { weighingOf } from '../gravity/weighing.ts';
import type { Sweep } from './sweep-watch.ts';
import { TENSION_LIMIT_NM } from './tension.ts';

export interface WeighingFit {
  readonly gravity: Exclude<Gravity, { kind: 'none' }>;
  /** Angles that were covered. */
  readonly range_deg: readonly [number, number];
  readonly rmsResidual_Nm: number;
  /** Up above down, the whole of it: friction, averaged out. Null when only one way was swept. */
  readonly apart_Nm: number | null;
  /** What is removed from torque at this angle: 0 where it was covered, else the nearest. */
  readonly reference_deg: number;
  readonly atReference_Nm: number;
  /** Largest torque that is removed within the range. */
  readonly most_Nm: number;
  /** Amplitude of the weight, where the range tells it from a constant; else null. */
  readonly amplitude_Nm: number | null;
}

/** Null while there is too little to fit. */
export function fitSweeps(sweeps: readonly Sweep[]): WeighingFit | null {
  const joined = (pick: (sweep: Sweep) => readonly number[]) => sweeps.flatMap(pick);
  const read = readSweep(
    joined(({ angle_deg }) => angle_deg),
    joined(({ torque_Nm }) => torque_Nm),
    joined(({ velocity_degps }) => velocity_degps),
  );
  const sinusoid = fitSinusoid(read.points);
  if (sinusoid === null) return null;
  const isBothWays = read.friction_Nm !== null;
  const weighing = weighingOf(sinusoid, read.range_deg, isBothWays ? 'bothWays' : 'oneWay');
  const apart_Nm = read.friction_Nm === null ? null : 2 * read.friction_Nm;
  const rest = { range_deg: read.range_deg, apart_Nm };
  // A curve has no value outside the sweep; so it is taken only where the sinusoid does not fit.
  const curve = sinusoid.rmsResidual_Nm > TENSION_LIMIT_NM / 2 ? curveOfSweep(read) : null;
  if (curve !== null) {
    const { gravity, rmsResidual_Nm } = curve;
    return described(gravity, { ...rest, rmsResidual_Nm, amplitude_Nm: null });
  }
  const { amplitude_Nm, horizontalAt_deg, offset_Nm, rmsResidual_Nm } = sinusoid;
  return described(
    { kind: 'sinusoid', amplitude_Nm, horizontalAt_deg, offset_Nm },
    { ...rest, rmsResidual_Nm, amplitude_Nm: weighing.identifiable ? amplitude_Nm : null },
  );
}

/** One hold needs the angle at which the limb lies horizontal; several make a curve. */
export function fitHolds(
  holds: readonly Hold[],
  horizontalAt_deg: number | null,
): { readonly fit: WeighingFit } | { readonly problem: string } {
  const angles = holds.map(({ angle_deg }) => angle_deg);
  const range_deg = [Math.min(...angles), Math.max(...angles)] as const;
  const rest = { range_deg, rmsResidual_Nm: 0, apart_Nm: null };
  const curve = curveOfHolds(holds);
  if (curve !== null) return { fit: described(curve, { ...rest, amplitude_Nm: null }) };
  const [hold] = holds;
  if (hold === undefined) return { problem: 'No hold was read yet.' };
  if (horizontalAt_deg === null) {
    return {
      problem:
        'One hold needs the angle at which the limb lies horizontal. State it, or hold at a second angle.',
    };
  }
  const one = weighAtOnePoint({ ...hold, horizontalAt_deg });
  if ('problem' in one) return one;
  if (one.gravity.kind !== 'sinusoid') return { problem: 'The hold gives no weight.' };
  const { amplitude_Nm } = one.gravity;
  return { fit: described(one.gravity, { ...rest, amplitude_Nm }) };
}

type Known = Pick<WeighingFit, 'range_deg' | 'rmsResidual_Nm' | 'apart_Nm' | 'amplitude_Nm'>;

/** Steps in which the range is looked at for the largest torque. */
const STEPS = 50;

function described(gravity: WeighingFit['gravity'], known: Known): WeighingFit {
  const [least, most] = known.range_deg;
  const reference_deg = Math.min(Math.max(0, least), most);
  const within = Array.from({ length: STEPS + 1 }, (_, k) =>
    weightAt(gravity, least + ((most - least) * k) / STEPS),
  );
  return {
    gravity,
    ...known,
    reference_deg,
    atReference_Nm: weightAt(gravity, reference_deg),
    most_Nm: Math.max(...within.map(Math.abs)),
  };
}
