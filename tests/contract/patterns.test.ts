/** What every joint pattern must hold: words, signs and ranges that the program can rely on. */
import { describe, expect, it } from 'vitest';
import { DEMPSTER_WINTER } from '../../shared/body-segments/tables.ts';
import { PATTERNS, patternById } from '../../shared/joints/index.ts';
import { patternsMarkdown } from '../../shared/joints/markdown.ts';
import type { JointPattern } from '../../shared/joints/pattern.ts';

const PATTERN_LIST: readonly JointPattern[] = PATTERNS;

describe('joint patterns', () => {
  it('have unequal ids and are found by them', () => {
    expect(new Set(PATTERN_LIST.map((pattern) => pattern.id)).size).toBe(PATTERN_LIST.length);
    for (const pattern of PATTERN_LIST) expect(patternById(pattern.id)).toBe(pattern);
    expect(patternById('no-such-pattern')).toBeUndefined();
  });

  // The positive senses are fixed for users: dorsiflexion, inversion, flexion, abduction, internal
  // rotation, pronation (canonical conventions of the program; dorsiflexion and flexion by its contract).
  it.each([
    ['ankle-plantarflexion-dorsiflexion', 'dorsiflexion', 'plantarflexion'],
    ['ankle-eversion-inversion', 'inversion', 'eversion'],
    ['knee-extension-flexion', 'flexion', 'extension'],
    ['hip-extension-flexion', 'flexion', 'extension'],
    ['hip-adduction-abduction', 'abduction', 'adduction'],
    ['shoulder-external-internal-rotation', 'internal rotation', 'external rotation'],
    ['shoulder-extension-flexion', 'flexion', 'extension'],
    ['elbow-extension-flexion', 'flexion', 'extension'],
    ['forearm-supination-pronation', 'pronation', 'supination'],
    ['wrist-extension-flexion', 'flexion', 'extension'],
    ['trunk-extension-flexion', 'flexion', 'extension'],
  ])('%s: %s is positive', (id, rising, falling) => {
    expect(patternById(id)).toMatchObject({ rising, falling });
  });

  it.each(PATTERN_LIST.map((pattern) => [pattern.id, pattern] as const))('%s', (_id, pattern) => {
    const { usualRange_deg, usualSpeeds_degps, usualHorizontalAt_deg, weightPullsToward } = pattern;
    const [least, most] = usualRange_deg;
    expect(least).toBeLessThanOrEqual(0);
    expect(most).toBeGreaterThan(0);
    expect(most - least).toBeLessThanOrEqual(180);
    expect(usualSpeeds_degps.length).toBeGreaterThan(0);
    expect([...usualSpeeds_degps].sort((a, b) => a - b)).toEqual(usualSpeeds_degps);
    expect(usualSpeeds_degps.every((speed) => speed > 0 && speed <= 300)).toBe(true);
    expect(Object.keys(DEMPSTER_WINTER)).toContain(pattern.limb);
    expect(usualHorizontalAt_deg === null).toBe(weightPullsToward === null);
    expect(pattern.rising).not.toBe(pattern.falling);
    expect(pattern.risingShort).not.toBe(pattern.fallingShort);
    expect(pattern.risingShort.length).toBeLessThanOrEqual(4);
    expect(pattern.fallingShort.length).toBeLessThanOrEqual(4);
    expect(pattern.id.startsWith(`${pattern.joint}-`)).toBe(true);
    expect(pattern.id.endsWith(pattern.rising.replace(' ', '-'))).toBe(true);
    for (const text of Object.values(pattern)) expect(text).not.toBe('');
    expect(pattern.source).toMatch(/memory|tutorial/);
  });

  it('hold no number for a chair or a motor', () => {
    for (const { position, stabilisation } of PATTERN_LIST) {
      expect(`${position} ${stabilisation}`).not.toMatch(/chair|seat height|motor|tilt/i);
    }
  });

  it('have a row each in the table', () => {
    const rows = patternsMarkdown().split('\n');
    expect(rows).toHaveLength(2 + PATTERN_LIST.length);
    PATTERN_LIST.forEach((pattern, i) => {
      expect(rows[i + 2]).toContain(`\`${pattern.id}\` | ${pattern.rising} |`);
    });
  });
});
