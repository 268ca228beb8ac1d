import type { JointPattern } from './pattern.ts';

export const ankleEversionInversion: JointPattern = {
  id: 'ankle-eversion-inversion',
  name: 'Ankle eversion-inversion',
  joint: 'ankle',
  rising: 'inversion',
  falling: 'eversion',
  risingShort: 'INV',
  fallingShort: 'EV',
  risingMuscles: 'tibialis posterior and tibialis anterior',
  fallingMuscles: 'peroneus longus and brevis',
  anatomicalZero: 'heel in line with the shin (subtalar neutral)',
  axisLandmark: 'line through the middle of the heel bone, foot plate tilted about 35°',
  position: 'seated or supine, knee bent 80-110° or straight; write the knee angle down',
  stabilisation:
    'straps over thigh and shin so that hip and shin cannot rotate; forefoot and heel held',
  usualRange_deg: [-15, 30],
  usualSpeeds_degps: [30, 60, 120],
  limb: 'foot',
  usualHorizontalAt_deg: null,
  weightPullsToward: null,
  risingCue: 'PULL',
  fallingCue: 'PUSH',
  source:
    "total active range: 'Strength and range of motion in the ankle in two age groups' (abstract); " +
    'speeds: KSSTA 2004 (abstract); the rest from memory',
};
