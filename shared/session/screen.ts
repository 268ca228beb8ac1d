/**
 * What the tester fixed for the subject's screen before the set: form, target, scale and sizes. Feedback is
 * a test condition, so all of it goes into the recording.
 */
import * as v from 'valibot';
import { number } from '../catalogue/fields.ts';

/** A level in newton metres, or a share of the greatest effort that the tester typed in. */
const target = v.variant('kind', [
  v.strictObject({ kind: v.literal('torque'), torque_Nm: number(0.1, 5000) }),
  v.strictObject({
    kind: v.literal('share'),
    share_pct: number(1, 100),
    greatest_Nm: number(0.1, 5000),
  }),
]);

export const screenSchema = v.strictObject({
  form: v.picklist(['climb', 'corridor']),
  isBlank: v.boolean(),
  isMirrored: v.boolean(),
  /** Whether the climb shows the subject's own best of this run. */
  hasBestMark: v.boolean(),
  target: v.nullable(target),
  /** Half the width of the band that is to be kept, percent of the target. */
  band_pct: number(1, 100),
  /** Up and down around the target once in this time; 0 holds still. */
  period_s: number(0, 120),
  distance_m: number(0.3, 6),
  /** Width of the screen's picture, millimetres: with it sizes become angles. */
  width_mm: number(50, 5000),
});

export type Screen = v.InferOutput<typeof screenSchema>;

export const FIRST_SCREEN: Screen = {
  form: 'climb',
  isBlank: false,
  isMirrored: false,
  hasBestMark: false,
  target: null,
  band_pct: 10,
  period_s: 0,
  distance_m: 2,
  // A 24 inch picture of 16:9.
  width_mm: 531,
};

/** Torque to aim at; null without a target. */
export function targetTorque_Nm({ target: wanted }: Screen): number | null {
  if (wanted === null) return null;
  return wanted.kind === 'torque'
    ? wanted.torque_Nm
    : (wanted.share_pct / 100) * wanted.greatest_Nm;
}

/** Cap height of the typeface, em; of look.md, measured in the font's OS/2 table. */
const CAP_EM = 0.668;
const LEAST_CAP_ARCMIN = 20;

/** Length on the screen that spans an angle at the eye, millimetres: 2 d tan(angle / 2). */
export function lengthOf_mm(angle_deg: number, distance_m: number): number {
  return 2000 * distance_m * Math.tan((angle_deg * Math.PI) / 360);
}

/** Least font size whose capitals span 20 arcmin, millimetres. */
export function leastFont_mm(distance_m: number): number {
  return lengthOf_mm(LEAST_CAP_ARCMIN / 60, distance_m) / CAP_EM;
}

/** Height of a picture of 16:9 over its width. */
const ASPECT = 9 / 16;
/** Share of the picture's height that a corridor scrolls in. */
export const CORRIDOR_SHARE = 0.8;
/** How far a moving target goes, share of it, and of the picture at most. */
const SWING = 0.2;
const MOST_SWING_OF_SPAN = 0.3;

/** Torque at the floor and at the top of the picture, in the direction of the effort; fixed for the set. */
export interface Scale {
  readonly low_Nm: number;
  readonly high_Nm: number;
}

/**
 * A climb spans nothing to `top_Nm`. A corridor spans nothing to twice its target, unless half its band
 * would then be less than one degree at the eye: then the gain is raised around the target.
 */
export function scaleOf(screen: Screen, top_Nm: number): Scale {
  const target_Nm = targetTorque_Nm(screen);
  if (screen.form === 'climb' || target_Nm === null) return { low_Nm: 0, high_Nm: top_Nm };
  const half_Nm = (screen.band_pct / 100) * target_Nm;
  const degree = degreeOf(screen) / (ASPECT * CORRIDOR_SHARE);
  const span_Nm = Math.min(2 * target_Nm, half_Nm / degree);
  return { low_Nm: target_Nm - span_Nm / 2, high_Nm: target_Nm + span_Nm / 2 };
}

/** One degree at the eye as a share of the picture's width. */
export function degreeOf({ distance_m, width_mm }: Screen): number {
  return lengthOf_mm(1, distance_m) / width_mm;
}

/** 0 at the floor, 1 at the top, and never beyond. */
export function levelOn({ low_Nm, high_Nm }: Scale, torque_Nm: number): number {
  const share = high_Nm > low_Nm ? (torque_Nm - low_Nm) / (high_Nm - low_Nm) : 0;
  return Math.min(1, Math.max(0, share));
}

/** The target as levels; null without one, or on a climb. */
export function corridorOf(screen: Screen, scale: Scale) {
  const target_Nm = targetTorque_Nm(screen);
  if (screen.form === 'climb' || target_Nm === null) return null;
  const span_Nm = scale.high_Nm - scale.low_Nm;
  const swing_Nm = Math.min(SWING * target_Nm, MOST_SWING_OF_SPAN * span_Nm);
  return {
    level: levelOn(scale, target_Nm),
    half: ((screen.band_pct / 100) * target_Nm) / span_Nm,
    swing: screen.period_s > 0 ? swing_Nm / span_Nm : 0,
    period_s: screen.period_s,
  };
}
