/** Limits that make no sense are told in the pattern's words. */
import { describe, expect, it } from 'vitest';
import { patternById } from '../../../shared/joints/index.ts';
import { limitsTrouble, unusualLimits } from '../../../shared/preparation/limits.ts';

const ankle = patternById('ankle-plantarflexion-dorsiflexion');

describe('limits', () => {
  it.each([
    [[15, -35], 'toward plantarflexion must lie below the one toward dorsiflexion'],
    [[10, 10], 'must lie below'],
    [[10, 13], '3° is too short a range'],
    [[-20, 260], '260° from anatomical zero'],
    [[Number.NaN, 10], 'need a number'],
  ] as const)('refuses %j', (limits, words) => {
    expect(limitsTrouble(ankle, limits)).toContain(words);
  });

  it('takes the usual range of every pattern, and says when one is far beyond it', () => {
    expect(limitsTrouble(ankle, [-35, 15])).toBe('');
    expect(unusualLimits(ankle, [-35, 15])).toBe('');
    expect(unusualLimits(ankle, [-35, 60])).toContain('into dorsiflexion');
    expect(unusualLimits(ankle, [-90, 15])).toContain('into plantarflexion');
  });
});
