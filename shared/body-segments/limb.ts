/**
 * Weight moment and inertia of a limb about its joint, from body mass and height: what a weighing should
 * come out near. Published fractions are means of few bodies: expect a person within a factor of 1.5.
 */
import {
  type Composite,
  DEMPSTER_WINTER,
  LENGTH_PER_HEIGHT,
  type Segment,
  type SegmentName,
} from './tables.ts';

/** Standard gravity, m/s² (3rd General Conference on Weights and Measures, 1901). */
export const STANDARD_GRAVITY = 9.80665;

export interface Limb {
  readonly mass_kg: number;
  readonly length_m: number;
  /** Centre of mass from the joint's axis. */
  readonly centre_m: number;
  /** Torque of the weight about the axis with the limb horizontal. */
  readonly weight_Nm: number;
  /** About the joint's axis. */
  readonly inertia_kgm2: number;
}

/** A segment of known length turning about its proximal end. */
export function limbOf(segment: Segment, bodyMass_kg: number, length_m: number): Limb {
  const mass_kg = segment.mass * bodyMass_kg;
  const centre_m = segment.centre * length_m;
  const gyration_m = segment.gyration * length_m;
  return {
    mass_kg,
    length_m,
    centre_m,
    weight_Nm: STANDARD_GRAVITY * mass_kg * centre_m,
    inertia_kgm2: mass_kg * (gyration_m * gyration_m + centre_m * centre_m),
  };
}

/** By the Dempster-Winter table; the length from body height when it was not measured. */
export function limbFromBody(
  name: SegmentName | Composite,
  bodyMass_kg: number,
  height_m: number,
  length_m = LENGTH_PER_HEIGHT[name] * height_m,
): Limb {
  return limbOf(DEMPSTER_WINTER[name], bodyMass_kg, length_m);
}

/** Leg with the foot as a point at its end, for tables without a composite. */
export function legWithFootAtEnd(
  leg: Segment,
  foot: Segment,
  bodyMass_kg: number,
  length_m: number,
): Limb {
  const alone = limbOf(leg, bodyMass_kg, length_m);
  const foot_kg = foot.mass * bodyMass_kg;
  const mass_kg = alone.mass_kg + foot_kg;
  const weight_Nm = alone.weight_Nm + STANDARD_GRAVITY * foot_kg * length_m;
  return {
    mass_kg,
    length_m,
    centre_m: weight_Nm / (STANDARD_GRAVITY * mass_kg),
    weight_Nm,
    inertia_kgm2: alone.inertia_kgm2 + foot_kg * length_m * length_m,
  };
}
