import { describe, expect, test } from 'vitest';
import { patternById } from '../../../shared/joints/index.ts';
import { demoWiring } from '../../../shared/simulation/outputs.ts';
import { RIGS, trueWeight } from '../../../shared/simulation/rigs.ts';
import { findSubject, strengthOf, SUBJECTS } from '../../../shared/simulation/subjects.ts';
import { parseWiring } from '../../../shared/wiring/wiring.ts';

describe('subjects', () => {
  test('are SH-01 to SH-08, found by their code in any case', () => {
    expect(SUBJECTS.map(({ code }) => code)).toEqual(
      Array.from({ length: 8 }, (_, k) => `SH-0${k + 1}`),
    );
    expect(findSubject('sh-03')).toBe(SUBJECTS[2]);
    expect(findSubject('SH-09')).toBeNull();
  });

  test('a weaker side is weaker by its share', () => {
    const subject = SUBJECTS[2];
    expect(strengthOf(subject, 'knee', 'left') / strengthOf(subject, 'knee', 'right')).toBeCloseTo(
      0.88,
      12,
    );
  });
});

describe('rigs', () => {
  test('weigh and turn as worked out by hand for 75 kg and 1.75 m', () => {
    // Winter's table: leg and foot 11.704626 Nm and 0.45810 kg m2; foot 0.64 Nm with 6 cm.
    const man = SUBJECTS[1];
    const [ankle, knee] = RIGS;
    expect(knee.limb(man).weight_Nm).toBeCloseTo(11.704626, 5);
    expect(knee.limb(man).inertia_kgm2).toBeCloseTo(0.4581, 3);
    expect(ankle.limb(man).weight_Nm).toBeCloseTo(0.64, 2);
  });

  test.each(RIGS)('$pattern pulls as its joint pattern says', (rig) => {
    const pattern = patternById(rig.pattern);
    expect(pattern).toBeDefined();
    const { amplitude_Nm } = trueWeight(rig, SUBJECTS[0]);
    expect(amplitude_Nm < 0 ? 'rising' : 'falling').toBe(rig.weightPullsToward);
    if (pattern?.usualHorizontalAt_deg !== null) {
      expect(rig.horizontalAt_deg).toBe(pattern?.usualHorizontalAt_deg);
    }
  });

  test.each(RIGS)('$pattern has a wiring that the wiring reader takes', ({ pattern }) => {
    for (const side of ['left', 'right'] as const) {
      const read = parseWiring(JSON.parse(JSON.stringify(demoWiring(pattern, side))));
      expect(read).toEqual({ wiring: demoWiring(pattern, side) });
    }
    expect(demoWiring('shoulder-extension-flexion')).toBeNull();
  });
});
