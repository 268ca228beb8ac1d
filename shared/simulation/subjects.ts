/**
 * The eight invented rescuers of the demo. No person stands behind any of them.
 * Bodies and strengths are spread so that sides, sexes and builds differ; SH-02 is the book's man.
 */
import type { Side } from '../analysis-types.ts';
import type { Body } from './surface.ts';

export interface SubjectModel extends Body {
  readonly code: string;
  readonly age_y: number;
  readonly dominantSide: Side;
  /** Factors on the surface's torque: 1 is the table's mean young adult. */
  readonly strength: { readonly knee: number; readonly ankle: number };
  /** A side that is weaker than the other, and its share of the other's strength. */
  readonly weaker: { readonly side: Side; readonly share: number } | null;
  /** Time constant of each of the two lags from wish to torque, seconds. */
  readonly activation_s: number;
  /** Torque while lengthening over isometric torque. */
  readonly eccentricGain: number;
  /** Torque that endless repetitions end at, as a share of the fresh one. */
  readonly endurance: number;
}

type Build = Omit<SubjectModel, 'activation_s' | 'eccentricGain' | 'endurance'> &
  Partial<SubjectModel>;

function subject(build: Build): SubjectModel {
  return { activation_s: 0.042, eccentricGain: 1, endurance: 0.55, ...build };
}

export const SUBJECTS = [
  subject({
    code: 'SH-01',
    sex: 'female',
    mass_kg: 62,
    height_m: 1.65,
    age_y: 27,
    dominantSide: 'right',
    strength: { knee: 1.05, ankle: 1 },
    weaker: null,
  }),
  subject({
    code: 'SH-02',
    sex: 'male',
    mass_kg: 75,
    height_m: 1.75,
    age_y: 24,
    dominantSide: 'right',
    strength: { knee: 1, ankle: 1 },
    weaker: null,
  }),
  subject({
    code: 'SH-03',
    sex: 'male',
    mass_kg: 79,
    height_m: 1.8,
    age_y: 31,
    dominantSide: 'right',
    strength: { knee: 1.08, ankle: 1.03 },
    weaker: { side: 'left', share: 0.88 },
    eccentricGain: 1.05,
  }),
  subject({
    code: 'SH-04',
    sex: 'female',
    mass_kg: 57,
    height_m: 1.61,
    age_y: 35,
    dominantSide: 'left',
    strength: { knee: 1.2, ankle: 1.06 },
    weaker: { side: 'right', share: 0.93 },
    activation_s: 0.045,
  }),
  subject({
    code: 'SH-05',
    sex: 'male',
    mass_kg: 91,
    height_m: 1.86,
    age_y: 42,
    dominantSide: 'right',
    strength: { knee: 0.98, ankle: 0.95 },
    weaker: null,
    activation_s: 0.046,
    endurance: 0.5,
  }),
  subject({
    code: 'SH-06',
    sex: 'female',
    mass_kg: 71,
    height_m: 1.74,
    age_y: 29,
    dominantSide: 'right',
    strength: { knee: 1.12, ankle: 1.08 },
    weaker: null,
    activation_s: 0.04,
    endurance: 0.6,
  }),
  subject({
    code: 'SH-07',
    sex: 'male',
    mass_kg: 68,
    height_m: 1.71,
    age_y: 22,
    dominantSide: 'left',
    strength: { knee: 1.15, ankle: 1.1 },
    weaker: { side: 'right', share: 0.9 },
    activation_s: 0.04,
    eccentricGain: 1.1,
    endurance: 0.6,
  }),
  subject({
    code: 'SH-08',
    sex: 'male',
    mass_kg: 84,
    height_m: 1.77,
    age_y: 51,
    dominantSide: 'right',
    strength: { knee: 0.86, ankle: 0.88 },
    weaker: { side: 'left', share: 0.95 },
    activation_s: 0.046,
    endurance: 0.52,
  }),
] as const satisfies readonly SubjectModel[];

/** The subject of a code such as `SH-03`, or null. */
export function findSubject(code: string): SubjectModel | null {
  return SUBJECTS.find((s) => s.code === code.toUpperCase()) ?? null;
}

/** Factor on the surface's torque for one joint and side. */
export function strengthOf(
  subject: SubjectModel,
  joint: keyof SubjectModel['strength'],
  side: Side,
): number {
  const share = subject.weaker?.side === side ? subject.weaker.share : 1;
  return subject.strength[joint] * share;
}
