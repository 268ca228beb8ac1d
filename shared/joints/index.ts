/**
 * Joint patterns: what may be tested, in the trade's words. One file a pattern, listed at the bottom.
 * The contract is `JointPattern`; a new joint is one file and one line here.
 */
import { ankleEversionInversion } from './ankle-eversion-inversion.ts';
import { anklePlantarflexionDorsiflexion } from './ankle-plantarflexion-dorsiflexion.ts';
import { elbowExtensionFlexion } from './elbow-extension-flexion.ts';
import { forearmSupinationPronation } from './forearm-supination-pronation.ts';
import { hipAdductionAbduction } from './hip-adduction-abduction.ts';
import { hipExtensionFlexion } from './hip-extension-flexion.ts';
import { kneeExtensionFlexion } from './knee-extension-flexion.ts';
import type { JointPattern } from './pattern.ts';
import { shoulderExtensionFlexion } from './shoulder-extension-flexion.ts';
import { shoulderExternalInternalRotation } from './shoulder-external-internal-rotation.ts';
import { trunkExtensionFlexion } from './trunk-extension-flexion.ts';
import { wristExtensionFlexion } from './wrist-extension-flexion.ts';

/** Undefined for an id that is not on the list. */
export function patternById(id: string): JointPattern | undefined {
  return PATTERNS.find((pattern) => pattern.id === id);
}

export const PATTERNS = [
  anklePlantarflexionDorsiflexion,
  ankleEversionInversion,
  kneeExtensionFlexion,
  hipExtensionFlexion,
  hipAdductionAbduction,
  shoulderExternalInternalRotation,
  shoulderExtensionFlexion,
  elbowExtensionFlexion,
  forearmSupinationPronation,
  wristExtensionFlexion,
  trunkExtensionFlexion,
] as const satisfies readonly JointPattern[];
