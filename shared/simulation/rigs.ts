/**
 * A rig: one joint in its place on the machine. What moves, what it weighs, how far it goes, and
 * which muscles push which way. Angles rise toward the pattern's positive word.
 */
import type { Gravity } from '../gravity/gravity.ts';
import type { SubjectModel } from './subjects.ts';
import type { Body, MuscleGroup } from './surface.ts';

export interface Rig {
  /** Id of the joint pattern. */
  readonly pattern: string;
  readonly joint: keyof SubjectModel['strength'];
  readonly rising: MuscleGroup;
  readonly falling: MuscleGroup;
  /** Where the machine ends each movement, [least, most]. */
  readonly range_deg: readonly [number, number];
  /** Angle of the isometric effort. */
  readonly isometricAt_deg: number;
  /** Angle at which limb and attachment lie horizontal, and which way their weight turns them. */
  readonly horizontalAt_deg: number;
  readonly weightPullsToward: 'rising' | 'falling';
  readonly limb: (body: Body) => Limb;
  readonly attachment: Limb;
  /** The speed limiter's own frequency, tuned to the attachment: 12-25 Hz. */
  readonly limiter_Hz: number;
  /** Torque at 10 V of the machine's output. */
  readonly fullScale_Nm: number;
}

/** Weight as torque when horizontal, and inertia, both about the machine's axis. */
export interface Limb {
  readonly weight_Nm: number;
  readonly inertia_kgm2: number;
}

const GRAVITY_MPS2 = 9.80665;

/** Share of body mass; length over height; centre of mass and gyration radius over length. */
interface Segment {
  readonly mass: number;
  readonly length: number;
  readonly centre: number;
  readonly gyration: number;
}

// Winter, Biomechanics and Motor Control of Human Movement, anthropometric table (from memory and
// public code): knee to ankle, with the foot.
const LEG_AND_FOOT: Segment = { mass: 0.061, length: 0.246, centre: 0.606, gyration: 0.735 };

function hinged(segment: Segment): Rig['limb'] {
  return ({ mass_kg, height_m }) => {
    const mass = segment.mass * mass_kg;
    const length = segment.length * height_m;
    return {
      weight_Nm: mass * GRAVITY_MPS2 * segment.centre * length,
      inertia_kgm2: mass * (segment.gyration * length) ** 2,
    };
  };
}

/** The foot's centre lies about 6 cm before the ankle (common practice, no source). */
function foot({ mass_kg, height_m }: Body): Limb {
  const mass = 0.0145 * mass_kg;
  const arm = 0.06;
  const gyration = 0.475 * 0.152 * height_m;
  return { weight_Nm: mass * GRAVITY_MPS2 * arm, inertia_kgm2: mass * (gyration ** 2 + arm ** 2) };
}

export const RIGS = [
  {
    pattern: 'ankle-plantarflexion-dorsiflexion',
    joint: 'ankle',
    rising: 'ankleDorsiflexion',
    falling: 'anklePlantarflexion',
    range_deg: [-35, 15],
    isometricAt_deg: 0,
    // Shin 60 degrees below the horizontal: the sole lies flat at 30 degrees of plantarflexion.
    horizontalAt_deg: -30,
    weightPullsToward: 'falling',
    limb: foot,
    attachment: { weight_Nm: 3, inertia_kgm2: 0.15 },
    limiter_Hz: 22,
    fullScale_Nm: 250,
  },
  {
    pattern: 'knee-extension-flexion',
    joint: 'knee',
    rising: 'kneeFlexion',
    falling: 'kneeExtension',
    range_deg: [0, 100],
    isometricAt_deg: 65,
    horizontalAt_deg: 0,
    weightPullsToward: 'rising',
    limb: hinged(LEG_AND_FOOT),
    attachment: { weight_Nm: 3.3, inertia_kgm2: 0.14 },
    limiter_Hz: 20,
    fullScale_Nm: 500,
  },
] as const satisfies readonly Rig[];

export type RigPattern = (typeof RIGS)[number]['pattern'];

/** The rig of a joint pattern, or null where there is none. */
export function findRig(pattern: string): Rig | null {
  return RIGS.find((rig) => rig.pattern === pattern) ?? null;
}

/** What a perfect weighing of limb and attachment would find. */
export function trueWeight(rig: Rig, body: Body): Extract<Gravity, { kind: 'sinusoid' }> {
  const weight_Nm = rig.limb(body).weight_Nm + rig.attachment.weight_Nm;
  return {
    kind: 'sinusoid',
    amplitude_Nm: rig.weightPullsToward === 'falling' ? weight_Nm : -weight_Nm,
    horizontalAt_deg: rig.horizontalAt_deg,
    offset_Nm: 0,
  };
}
