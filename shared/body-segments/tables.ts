/**
 * Segment masses, centres of mass and radii of gyration as fractions, from two published tables.
 * For judging whether a weighed limb is plausible; never put in place of weighing it.
 */

export interface Segment {
  /** Share of body mass. */
  readonly mass: number;
  /** Centre of mass from the proximal end, share of the segment's length. */
  readonly centre: number;
  /** Radius of gyration about the centre of mass, share of the length. */
  readonly gyration: number;
}

export type SegmentName = 'foot' | 'leg' | 'thigh' | 'hand' | 'forearm' | 'upperArm';
export type Composite = 'legAndFoot' | 'totalLeg' | 'forearmAndHand' | 'totalArm' | 'trunk';

/**
 * Dempster's cadaver data as printed by Winter, Biomechanics and Motor Control of Human Movement.
 * `trunk` is head, arms and trunk together: what moves about the hips.
 */
export const DEMPSTER_WINTER: Readonly<Record<SegmentName | Composite, Segment>> = {
  foot: { mass: 0.0145, centre: 0.5, gyration: 0.475 },
  leg: { mass: 0.0465, centre: 0.433, gyration: 0.302 },
  thigh: { mass: 0.1, centre: 0.433, gyration: 0.323 },
  hand: { mass: 0.006, centre: 0.506, gyration: 0.297 },
  forearm: { mass: 0.016, centre: 0.43, gyration: 0.303 },
  upperArm: { mass: 0.028, centre: 0.436, gyration: 0.322 },
  legAndFoot: { mass: 0.061, centre: 0.606, gyration: 0.416 },
  totalLeg: { mass: 0.161, centre: 0.447, gyration: 0.326 },
  forearmAndHand: { mass: 0.022, centre: 0.682, gyration: 0.468 },
  totalArm: { mass: 0.05, centre: 0.53, gyration: 0.368 },
  trunk: { mass: 0.678, centre: 0.626, gyration: 0.496 },
};

/** Zatsiorsky's gamma-ray data as adjusted by de Leva 1996 (J Biomech 29:1223); sagittal radii. */
export const DE_LEVA: Readonly<Record<'female' | 'male', Readonly<Record<SegmentName, Segment>>>> =
  {
    female: {
      foot: { mass: 0.0129, centre: 0.4014, gyration: 0.299 },
      leg: { mass: 0.0481, centre: 0.4352, gyration: 0.267 },
      thigh: { mass: 0.1478, centre: 0.3612, gyration: 0.369 },
      hand: { mass: 0.0056, centre: 0.7474, gyration: 0.531 },
      forearm: { mass: 0.0138, centre: 0.4559, gyration: 0.261 },
      upperArm: { mass: 0.0255, centre: 0.5754, gyration: 0.278 },
    },
    male: {
      foot: { mass: 0.0137, centre: 0.4415, gyration: 0.257 },
      leg: { mass: 0.0433, centre: 0.4395, gyration: 0.251 },
      thigh: { mass: 0.1416, centre: 0.4095, gyration: 0.329 },
      hand: { mass: 0.0061, centre: 0.79, gyration: 0.628 },
      forearm: { mass: 0.0162, centre: 0.4574, gyration: 0.276 },
      upperArm: { mass: 0.0271, centre: 0.5772, gyration: 0.285 },
    },
  };

/**
 * Lengths as shares of body height (Drillis & Contini as printed by Winter, from memory). The foot's is
 * the part in front of the axis, ankle to ball, about 12 cm at 1.75 m. A composite is as long as its
 * definition says: to the ankle, to the wrist, from hip to shoulder.
 */
export const LENGTH_PER_HEIGHT: Readonly<Record<SegmentName | Composite, number>> = {
  foot: 0.0686,
  leg: 0.246,
  thigh: 0.245,
  hand: 0.108,
  forearm: 0.146,
  upperArm: 0.186,
  legAndFoot: 0.246,
  totalLeg: 0.491,
  forearmAndHand: 0.146,
  totalArm: 0.332,
  trunk: 0.288,
};
