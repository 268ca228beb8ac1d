import type { JointPattern } from './pattern.ts';

export const shoulderExtensionFlexion: JointPattern = {
  id: 'shoulder-extension-flexion',
  name: 'Shoulder extension-flexion',
  joint: 'shoulder',
  rising: 'flexion',
  falling: 'extension',
  risingShort: 'FLEX',
  fallingShort: 'EXT',
  risingMuscles: 'anterior deltoid and pectoralis major',
  fallingMuscles: 'latissimus dorsi and posterior deltoid',
  anatomicalZero: 'arm along the trunk',
  axisLandmark:
    '2-3 cm below the lateral edge of the acromion; it wanders by centimetres on the way',
  position: 'supine or seated; write down which',
  stabilisation:
    'straps over chest and pelvis; the axis is checked again in the middle of the range',
  usualRange_deg: [0, 120],
  usualSpeeds_degps: [60, 120, 180],
  limb: 'totalArm',
  usualHorizontalAt_deg: null,
  weightPullsToward: null,
  risingCue: 'PUSH',
  fallingCue: 'PULL',
  source: 'from memory',
};
