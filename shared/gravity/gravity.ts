/**
 * The weight of limb and attachment as it is read by the torque sensor, and its removal.
 * muscle = read + A cos(angle - H): A > 0 pulls toward falling angle.
 */

export type Gravity =
  | { readonly kind: 'none' }
  | {
      readonly kind: 'sinusoid';
      readonly amplitude_Nm: number;
      readonly horizontalAt_deg: number;
      /** Constant part of the passive reading, removed too; 0 when only weight is known. */
      readonly offset_Nm: number;
    }
  | {
      readonly kind: 'curve';
      /** Passive reading at rising angles; monotone cubic in between, no value outside. */
      readonly angle_deg: readonly number[];
      readonly torque_Nm: readonly number[];
    };
