/**
 * What a joint pattern is: anatomy and words only. No number for a chair or a motor belongs here.
 */

export interface JointPattern {
  readonly id: string;
  /** `Ankle plantarflexion-dorsiflexion` */
  readonly name: string;
  readonly joint: string;
  /** Word for movement and effort toward rising angle, e.g. `dorsiflexion`. */
  readonly rising: string;
  /** Word toward falling angle, e.g. `plantarflexion`. */
  readonly falling: string;
  /** Short forms for tight columns, shown with their long form: `DF`, `PF`. */
  readonly risingShort: string;
  readonly fallingShort: string;
  /** What angle 0 is, in words. */
  readonly anatomicalZero: string;
  /** The bony landmark opposite the motor's axis, in words. */
  readonly axisLandmark: string;
  readonly position: string;
  readonly stabilisation: string;
  /** Usual range of a test in degrees, [least, most], this pattern's sign. */
  readonly usualRange_deg: readonly [number, number];
  readonly usualSpeeds_degps: readonly number[];
  /** The moving limb as a body-segment key, and the angle at which it usually lies horizontal. */
  readonly limb: 'foot' | 'legAndFoot' | 'totalLeg' | 'forearmAndHand' | 'totalArm' | 'hand' | 'trunk';
  readonly usualHorizontalAt_deg: number | null;
  /** What the subject is told: one word each, `PUSH` or `PULL`. */
  readonly risingCue: 'PUSH' | 'PULL';
  readonly fallingCue: 'PUSH' | 'PULL';
  /** Where these facts come from. */
  readonly source: string;
}
