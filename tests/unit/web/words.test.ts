import { describe, expect, test } from 'vitest';
import { FLAG_KINDS } from '../../../shared/flags/flag.ts';
import { PATTERNS, patternById } from '../../../shared/joints/index.ts';
import { bytes, duration, magnitude, number, withUnit } from '../../../web/lib/format.ts';
import { t } from '../../../web/lib/i18n/index.ts';
import { armDirection, limbPose } from '../../../web/lib/limb.ts';
import { recipeLines } from '../../../web/lib/recipe-lines.ts';
import { angleShort, angleWords } from '../../../web/lib/words.ts';

describe('numbers as they are shown', () => {
  test('a minus sign, groups of three, a dash for what is not known', () => {
    expect(number(-12.5, 1)).toBe('\u221212.5');
    expect(number(1234567)).toBe('1\u00a0234\u00a0567');
    expect(number(999)).toBe('999');
    expect(number(-0.04, 1)).toBe('0.0');
    expect([number(null), number(undefined), number(NaN), number(Infinity)]).toEqual(
      Array(4).fill('\u2013'),
    );
    expect(magnitude(-95.4)).toBe('95');
  });

  test('durations do not round up to a time that has not come', () => {
    expect(duration(10.96)).toBe('0:10.9');
    expect(duration(59.99)).toBe('0:59.9');
    expect(duration(60)).toBe('1:00.0');
    expect(duration(3723.4)).toBe('1:02:03');
    expect(duration(61, 0)).toBe('1:01');
    expect(duration(null)).toBe('\u2013');
  });

  test('degrees close up, other units stand off', () => {
    expect(withUnit('16', '\u00b0')).toBe('16\u00b0');
    expect(withUnit('28', 'N\u00b7m')).toBe('28\u00a0N\u00b7m');
    expect(bytes(1_234_567)).toBe('1.2\u00a0MB');
  });
});

describe('directions in words', () => {
  test('the sign becomes the pattern\u2019s word, also where zero is an end of the range', () => {
    const ankle = patternById('ankle-plantarflexion-dorsiflexion');
    const knee = patternById('knee-extension-flexion');
    expect(angleWords(-35, ankle)).toBe('35\u00b0 plantarflexion');
    expect(angleShort(16, ankle)).toBe('16\u00b0 DF');
    expect(angleWords(0.3, knee)).toBe('0\u00b0');
    expect(angleWords(90, knee)).toBe('90\u00b0 flexion');
    expect(angleWords(12, undefined)).toBe('12\u00b0');
  });

  test('a bending knee lowers the drawn shank, a lifted foot raises the drawn foot', () => {
    const knee = limbPose(patternById('knee-extension-flexion'));
    const ankle = limbPose(patternById('ankle-plantarflexion-dorsiflexion'));
    expect(armDirection(knee, 90).y).toBeCloseTo(1, 12);
    expect(armDirection(ankle, 20).y).toBeLessThan(0);
  });

  test('every pattern has a word for the segment that stays', () => {
    for (const pattern of PATTERNS) expect(t.drawing.proximal[pattern.limb]).not.toBe('');
  });

  test('every flag kind has a name', () => {
    expect(Object.keys(t.flags.kind).sort()).toEqual([...FLAG_KINDS].sort());
  });
});

describe('a recipe as lines', () => {
  test('groups are flattened, units told, unused rules left out', () => {
    const lines = recipeLines({
      version: 1,
      conditioning: { torqueLowpass_Hz: 15, inertia_kgm2: null, restFloor_degps: 0.5 },
    });
    expect(lines).toEqual([
      { name: 'version', value: '1', unit: '' },
      { name: 'torque lowpass', value: '15', unit: 'Hz' },
      { name: 'rest floor', value: '0.5', unit: '\u00b0/s' },
    ]);
  });
});
