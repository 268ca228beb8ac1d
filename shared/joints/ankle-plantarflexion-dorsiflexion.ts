import type { JointPattern } from './pattern.ts';

export const anklePlantarflexionDorsiflexion: JointPattern = {
  id: 'ankle-plantarflexion-dorsiflexion',
  name: 'Ankle plantarflexion-dorsiflexion',
  joint: 'ankle',
  rising: 'dorsiflexion',
  falling: 'plantarflexion',
  risingShort: 'DF',
  fallingShort: 'PF',
  risingMuscles: 'tibialis anterior and toe extensors',
  fallingMuscles: 'gastrocnemius and soleus',
  anatomicalZero: 'sole at a right angle to the shin',
  axisLandmark: 'tip of the lateral malleolus, a little below and in front of it',
  position:
    'reclined or supine, knee bent 60-90° or straight; write the knee angle down, ' +
    'because it changes plantarflexion torque',
  stabilisation:
    'straps over trunk, thigh, forefoot and heel; the heel stays on the plate; ' +
    'the strap nearest the ankle is tightened first',
  usualRange_deg: [-40, 15],
  usualSpeeds_degps: [30, 60, 120],
  limb: 'foot',
  usualHorizontalAt_deg: null,
  weightPullsToward: null,
  risingCue: 'PULL',
  fallingCue: 'PUSH',
  source:
    'position, heel and range: open tutorial pages on isokinetic testing; total active range: ' +
    "'Strength and range of motion in the ankle in two age groups' (abstract); " +
    'knee angle: Eur J Appl Physiol 1980 (abstract); landmark and speeds from memory',
};
