import type { JointPattern } from './pattern.ts';

export const kneeExtensionFlexion: JointPattern = {
  id: 'knee-extension-flexion',
  name: 'Knee extension-flexion',
  joint: 'knee',
  rising: 'flexion',
  falling: 'extension',
  risingShort: 'FLEX',
  fallingShort: 'EXT',
  risingMuscles: 'hamstrings',
  fallingMuscles: 'quadriceps',
  anatomicalZero: 'knee straight',
  axisLandmark: 'lateral femoral epicondyle',
  position:
    'seated, trunk at 85-110° to the thigh, about two fingers between seat edge and back of the knee',
  stabilisation: 'straps over trunk, pelvis and thigh; pad 2-3 cm above the malleoli; arms crossed',
  usualRange_deg: [0, 90],
  usualSpeeds_degps: [60, 180, 240, 300],
  limb: 'legAndFoot',
  usualHorizontalAt_deg: 0,
  weightPullsToward: 'rising',
  risingCue: 'PULL',
  fallingCue: 'PUSH',
  source:
    'landmark, seat gap and end at the straight knee: open tutorial pages on isokinetic testing; ' +
    'the rest from memory',
};
