/**
 * Limits of the range of motion that make no sense, told in words before they are kept; and those that
 * are unusual, which a person may want all the same. They warn; the mechanical stops are set by hand.
 */
import type { JointPattern } from '../joints/pattern.ts';

/** A movement shorter than this has no constant speed in it. */
const LEAST_RANGE_DEG = 5;
/** No joint turns farther than this either way from its zero. */
const FARTHEST_DEG = 200;
/** Beyond the usual range of the pattern by more than this is worth a second look. */
const UNUSUAL_DEG = 20;

/** Empty when they can be kept. */
export function limitsTrouble(
  pattern: JointPattern | undefined,
  [least, most]: readonly [number, number],
): string {
  const falling = pattern?.falling ?? 'falling angle';
  const rising = pattern?.rising ?? 'rising angle';
  if (!Number.isFinite(least) || !Number.isFinite(most)) return 'Both limits need a number.';
  if (least >= most) return `The limit toward ${falling} must lie below the one toward ${rising}.`;
  if (most - least < LEAST_RANGE_DEG) {
    return `${(most - least).toFixed(0)}° is too short a range: nothing under ${LEAST_RANGE_DEG}° reaches its speed.`;
  }
  const farthest = Math.max(Math.abs(least), Math.abs(most));
  if (farthest > FARTHEST_DEG) {
    return `${farthest.toFixed(0)}° from anatomical zero is no place a limb can be. Is the zero right?`;
  }
  return '';
}

/** Empty when they lie where this pattern is usually tested. */
export function unusualLimits(
  pattern: JointPattern | undefined,
  [least, most]: readonly [number, number],
): string {
  if (!pattern) return '';
  const [usualLeast, usualMost] = pattern.usualRange_deg;
  const beyond =
    most > usualMost + UNUSUAL_DEG
      ? pattern.rising
      : least < usualLeast - UNUSUAL_DEG
        ? pattern.falling
        : '';
  if (beyond === '') return '';
  return `Much farther into ${beyond} than this joint is usually tested. Are angle zero and the sign right?`;
}
