import type { JointPattern } from './pattern.ts';

export const hipAdductionAbduction: JointPattern = {
  id: 'hip-adduction-abduction',
  name: 'Hip adduction-abduction',
  joint: 'hip',
  rising: 'abduction',
  falling: 'adduction',
  risingShort: 'ABD',
  fallingShort: 'ADD',
  risingMuscles: 'gluteus medius and minimus',
  fallingMuscles: 'adductors',
  anatomicalZero: 'thigh in line with the trunk',
  axisLandmark:
    'head of the femur: where the vertical through the anterior superior iliac spine ' +
    'meets the level of the greater trochanter',
  position: 'lying on the other side, or standing',
  stabilisation: 'belt over the pelvis; the constant-velocity part shrinks quickly with speed',
  usualRange_deg: [-10, 30],
  usualSpeeds_degps: [30, 60, 120],
  limb: 'totalLeg',
  usualHorizontalAt_deg: 0,
  weightPullsToward: 'falling',
  risingCue: 'PUSH',
  fallingCue: 'PULL',
  source:
    'position and speeds: Int J Sports Med 2013 and a reliability paper on lateral abduction (abstracts); ' +
    'the rest from memory; horizontal angle: lying on the side',
};
