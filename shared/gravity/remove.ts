/**
 * What the weight of limb and attachment adds to the torque reading, and its removal: sample by sample,
 * no allocation in the loop. Extrapolating a passive curve gives NaN, never a guess.
 */
import { cosDegrees } from '../dsp/cosine.ts';
import type { Gravity } from './gravity.ts';
import { monotoneCubic } from './monotone-cubic.ts';

/** A gravity made ready for many samples. */
export interface Weight {
  /** Nm that the weight adds to the reading at this angle; NaN for NaN and outside a curve. */
  at(angle_deg: number): number;
  /** out = torque - weight; `out` may be `torque`; loops over the length of `out`. */
  remove(torque_Nm: ArrayLike<number>, angle_deg: ArrayLike<number>, out: Float64Array): void;
}

const NONE: Weight = {
  at: () => 0,
  remove(torque_Nm, _angle_deg, out) {
    for (let i = 0; i < out.length; i += 1) out[i] = torque_Nm[i];
  },
};

/** Preparing costs once per gravity object; objects are immutable, so the result can be kept. */
const prepared = new WeakMap<Gravity, Weight>();

/** Throws for a curve whose points are not in order (see `curveTrouble`). */
export function weightOf(gravity: Gravity): Weight {
  let weight = prepared.get(gravity);
  if (weight === undefined) {
    weight = prepare(gravity);
    prepared.set(gravity, weight);
  }
  return weight;
}

/** What the weight adds to the reading, so that muscle = read - weightAt. */
export function weightAt(gravity: Gravity, angle_deg: number): number {
  return weightOf(gravity).at(angle_deg);
}

/** out = torque - weightAt(angle), for a whole column; `out` may be the torque column itself. */
export function removeWeight(
  gravity: Gravity,
  torque_Nm: ArrayLike<number>,
  angle_deg: ArrayLike<number>,
  out: Float64Array,
): void {
  weightOf(gravity).remove(torque_Nm, angle_deg, out);
}

function prepare(gravity: Gravity): Weight {
  switch (gravity.kind) {
    case 'none':
      return NONE;
    case 'sinusoid': {
      const { amplitude_Nm, horizontalAt_deg, offset_Nm } = gravity;
      const at = (angle_deg: number) =>
        offset_Nm - amplitude_Nm * cosDegrees(angle_deg - horizontalAt_deg);
      return {
        at,
        remove(torque_Nm, angle_deg, out) {
          for (let i = 0; i < out.length; i += 1) out[i] = torque_Nm[i] - at(angle_deg[i]);
        },
      };
    }
    case 'curve': {
      const curve = monotoneCubic(gravity.angle_deg, gravity.torque_Nm);
      return {
        at: (angle_deg) => curve.at(angle_deg),
        remove(torque_Nm, angle_deg, out) {
          for (let i = 0; i < out.length; i += 1) out[i] = torque_Nm[i] - curve.at(angle_deg[i]);
        },
      };
    }
  }
}
