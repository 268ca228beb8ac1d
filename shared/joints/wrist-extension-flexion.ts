import type { JointPattern } from './pattern.ts';

export const wristExtensionFlexion: JointPattern = {
  id: 'wrist-extension-flexion',
  name: 'Wrist extension-flexion',
  joint: 'wrist',
  rising: 'flexion',
  falling: 'extension',
  risingShort: 'FLEX',
  fallingShort: 'EXT',
  risingMuscles: 'flexors of wrist and fingers',
  fallingMuscles: 'extensors of wrist and fingers',
  anatomicalZero: 'hand in line with the forearm',
  axisLandmark: 'radial styloid, at the level of the capitate',
  position: 'seated, forearm level and strapped to its rest, palm down',
  stabilisation: 'straps near wrist and elbow, off the bellies of the forearm muscles',
  usualRange_deg: [-50, 60],
  usualSpeeds_degps: [30, 60, 180],
  limb: 'hand',
  usualHorizontalAt_deg: 0,
  weightPullsToward: 'rising',
  risingCue: 'PULL',
  fallingCue: 'PUSH',
  source:
    'landmark, straps and top speed: open tutorial pages on isokinetic testing; the rest from memory; ' +
    'horizontal angle: palm down',
};
