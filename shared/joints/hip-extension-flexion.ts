import type { JointPattern } from './pattern.ts';

export const hipExtensionFlexion: JointPattern = {
  id: 'hip-extension-flexion',
  name: 'Hip extension-flexion',
  joint: 'hip',
  rising: 'flexion',
  falling: 'extension',
  risingShort: 'FLEX',
  fallingShort: 'EXT',
  risingMuscles: 'iliopsoas and rectus femoris',
  fallingMuscles: 'gluteus maximus and hamstrings',
  anatomicalZero: 'thigh in line with the trunk',
  axisLandmark: 'greater trochanter, slightly above and in front of it',
  position: 'supine (cannot go past neutral into extension) or standing',
  stabilisation: 'belt over the pelvis, strap over the opposite thigh',
  usualRange_deg: [0, 90],
  usualSpeeds_degps: [30, 60, 120],
  limb: 'totalLeg',
  usualHorizontalAt_deg: 0,
  weightPullsToward: 'falling',
  risingCue: 'PULL',
  fallingCue: 'PUSH',
  source:
    'limit of the supine position: open tutorial pages on isokinetic testing; the rest from memory; ' +
    'horizontal angle: supine, straight leg',
};
