/**
 * How much torque a muscle group can give at an angle and a velocity, and what passive tissue adds.
 * Model and numbers: Anderson, Madigan & Nussbaum 2007, J Biomech 40:3105, table 3, ages 18-25
 * (coefficients read in public code that quotes the table; form of the curve from memory).
 */

export type Sex = 'female' | 'male';

export type MuscleGroup =
  'kneeExtension' | 'kneeFlexion' | 'anklePlantarflexion' | 'ankleDorsiflexion';

/**
 * c1: peak torque over body weight times height; c2, c3: width and optimum of the angle curve (rad);
 * c4, c5: speeds at 75 % and 50 % of it (rad/s); b1 k1 b2 k2: passive torque toward this group.
 */
interface Coefficients {
  readonly c1: number;
  readonly c2: number;
  readonly c3: number;
  readonly c4: number;
  readonly c5: number;
  readonly passive: PassiveCoefficients;
}

interface PassiveCoefficients {
  readonly b1: number;
  readonly k1: number;
  readonly b2: number;
  readonly k2: number;
}

type Row = readonly [number, number, number, number, number, number, number, number, number];

function row([c1, c2, c3, c4, c5, b1, k1, b2, k2]: Row): Coefficients {
  return { c1, c2, c3, c4, c5, passive: { b1, k1, b2, k2 } };
}

const TABLE: Readonly<Record<Sex, Readonly<Record<MuscleGroup, Coefficients>>>> = {
  male: {
    kneeExtension: row([0.163, 1.258, 1.133, 1.517, 3.952, 0, 0, -6.25, -4.521]),
    kneeFlexion: row([0.087, 0.869, 0.522, 2.008, 5.233, 0, 0, 6.25, -4.521]),
    anklePlantarflexion: row([0.095, 1.391, 0.408, 0.987, 3.558, -0.0005781, -5.819, 0.967, 6.09]),
    ankleDorsiflexion: row([0.033, 1.51, -0.187, 0.699, 1.94, 0.0005781, -5.819, -0.967, 6.09]),
  },
  female: {
    kneeExtension: row([0.159, 1.187, 1.274, 1.393, 3.623, 0, 0, -8.033, -5.25]),
    kneeFlexion: row([0.08, 0.873, 0.635, 1.698, 4.412, 0, 0, 8.033, -5.25]),
    anklePlantarflexion: row([0.104, 1.399, 0.424, 0.862, 3.109, -0.005218, -4.875, 0.47, 6.425]),
    ankleDorsiflexion: row([0.027, 1.079, -0.302, 0.864, 2.399, 0.005218, -4.875, -0.47, 6.425]),
  },
};

/** The table's own gravity, kept because its c1 were fitted with it. */
const GRAVITY_MPS2 = 9.81;
/** Below this speed of lengthening the isometric value blends into the eccentric one. */
const ECCENTRIC_BLEND_RADPS = (10 * Math.PI) / 180;

export interface Body {
  readonly sex: Sex;
  readonly mass_kg: number;
  readonly height_m: number;
}

/** Largest isometric torque of a group at its best angle, Nm, for a body of ordinary strength. */
export function greatestTorque_Nm(group: MuscleGroup, body: Body): number {
  return TABLE[body.sex][group].c1 * body.mass_kg * GRAVITY_MPS2 * body.height_m;
}

/** Share of the greatest torque at an angle (rad): a cosine about the optimum, 0 beyond its foot. */
export function angleFactor(group: MuscleGroup, sex: Sex, angle_rad: number): number {
  const { c2, c3 } = TABLE[sex][group];
  const phase = c2 * (angle_rad - c3);
  return Math.abs(phase) >= Math.PI / 2 ? 0 : Math.cos(phase);
}

/**
 * Share of the isometric torque while shortening at `speed_radps` (negative: lengthening).
 * Lengthening is `eccentricGain`, flat in speed: knee torque "stayed flat 0-270 deg/s" (21 men, 1988).
 */
export function velocityFactor(
  group: MuscleGroup,
  sex: Sex,
  speed_radps: number,
  eccentricGain: number,
): number {
  if (speed_radps < 0) {
    const x = Math.min(1, -speed_radps / ECCENTRIC_BLEND_RADPS);
    return 1 + (eccentricGain - 1) * x * x * (3 - 2 * x);
  }
  const { c4, c5 } = TABLE[sex][group];
  const top = 2 * c4 * c5 + speed_radps * (c5 - 3 * c4);
  return top <= 0 ? 0 : top / (2 * c4 * c5 + speed_radps * (2 * c5 - 4 * c4));
}

/** Torque of passive tissue toward the group's own direction, Nm. It explodes outside the range. */
export function passiveTorque_Nm(group: MuscleGroup, sex: Sex, angle_rad: number): number {
  const { b1, k1, b2, k2 } = TABLE[sex][group].passive;
  return b1 * Math.exp(k1 * angle_rad) + b2 * Math.exp(k2 * angle_rad);
}
