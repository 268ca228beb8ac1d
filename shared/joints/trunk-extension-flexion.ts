import type { JointPattern } from './pattern.ts';

export const trunkExtensionFlexion: JointPattern = {
  id: 'trunk-extension-flexion',
  name: 'Trunk extension-flexion',
  joint: 'trunk',
  rising: 'flexion',
  falling: 'extension',
  risingShort: 'FLEX',
  fallingShort: 'EXT',
  risingMuscles: 'abdominal muscles and hip flexors',
  fallingMuscles: 'erector spinae and hip extensors',
  anatomicalZero: 'trunk upright',
  axisLandmark:
    'customarily between the fifth lumbar vertebra and the sacrum; papers disagree ' +
    '(third lumbar vertebra, anterior superior iliac spine): write down which',
  position: 'seated or half standing',
  stabilisation: 'straps over pelvis, thighs and chest',
  usualRange_deg: [-10, 50],
  usualSpeeds_degps: [30, 60, 90, 120],
  limb: 'trunk',
  usualHorizontalAt_deg: 90,
  weightPullsToward: 'rising',
  risingCue: 'PULL',
  fallingCue: 'PUSH',
  source: 'axis: three papers that disagree (abstracts); the rest from memory',
};
