/**
 * Aligning a limb: what is checked, in which order, and what the passive curve looks like when something
 * is wrong. Anatomy and common practice in our own words; a site may put its own list in its place.
 */
import type { JointPattern } from '../joints/pattern.ts';

/** Common practice, no source: alignment before tight straps, and again through the range. */
export function usualChecks(pattern: JointPattern): readonly string[] {
  const foot = pattern.limb === 'foot';
  return [
    'Straps are loose.',
    `Opposite the motor's axis: ${pattern.axisLandmark}.`,
    'The limb is moved through the range by hand: the landmark stays on the axis, the pad does not slide.',
    `Held still: ${pattern.stabilisation}.`,
    foot
      ? 'Straps are tightened, the one nearest the ankle first: snug, never painful.'
      : 'Straps are tightened: snug, never painful.',
    'Once more through the range: the landmark is still on the axis.',
    'The other limb has a rest. If the backrest was moved so that the subject sees the screen, the new position is written down.',
  ];
}

export interface WrongCurve {
  readonly id: 'shifted' | 'bent' | 'apart' | 'step';
  readonly head: string;
  readonly text: string;
}

/** What the sweep shows before anybody pushes. */
export const WRONG_CURVES: readonly WrongCurve[] = [
  {
    id: 'shifted',
    head: 'Beside last time',
    text: 'The whole curve lies to one side: angle zero or seat is another.',
  },
  {
    id: 'bent',
    head: 'Bent at one end',
    text: 'The limb lifts off or the pad slides there: the axis is beside the joint.',
  },
  {
    id: 'apart',
    head: 'Up and down apart',
    text: 'The limb rubs, or helps in one direction.',
  },
  {
    id: 'step',
    head: 'A step',
    text: 'A strap gave way, or muscles pulled for a moment.',
  },
];
