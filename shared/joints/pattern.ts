/**
 * What a joint pattern is: anatomy and words only. No number for a chair or a motor belongs here.
 */

export interface JointPattern {
  /** `joint-falling-rising`, e.g. `ankle-plantarflexion-dorsiflexion`: the last word is positive. */
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
  /** The main muscles of each effort, in words. */
  readonly risingMuscles: string;
  readonly fallingMuscles: string;
  /** What angle 0 is, in words. */
  readonly anatomicalZero: string;
  /** The bony landmark opposite the motor's axis, in words. */
  readonly axisLandmark: string;
  readonly position: string;
  readonly stabilisation: string;
  /** Usual range of a test in degrees, [least, most], this pattern's sign. */
  readonly usualRange_deg: readonly [number, number];
  readonly usualSpeeds_degps: readonly number[];
  /** The moving limb as a body-segment key. */
  readonly limb:
    'foot' | 'legAndFoot' | 'totalLeg' | 'forearmAndHand' | 'totalArm' | 'hand' | 'trunk';
  /** Angle at which the limb lies horizontal in the position above; null where the position decides. */
  readonly usualHorizontalAt_deg: number | null;
  /** Which way the weight pulls there; null with the angle. */
  readonly weightPullsToward: 'rising' | 'falling' | null;
  /** What the subject is told: one word each, `PUSH` or `PULL`. */
  readonly risingCue: 'PUSH' | 'PULL';
  readonly fallingCue: 'PUSH' | 'PULL';
  /** Where these facts come from. */
  readonly source: string;
}
