/**
 * Comparing two sides. Nine formulas are in use and they do not agree: each has its name here, and the
 * reference side is stated by the argument's name. Source: review of asymmetry formulas (Bishop).
 */

/** 100 x / reference. Which side is the reference must be stored: it changes the number. */
export function limbSymmetryIndex_pct(x: number, reference: number): number | null {
  return share(100 * x, reference);
}

/** 100 (stronger - weaker) / stronger. */
export function differenceOfStronger_pct(a: number, b: number): number | null {
  return share(100 * Math.abs(a - b), Math.max(a, b));
}

/** 100 (stronger - weaker) / mean of both. */
export function differenceOfMean_pct(a: number, b: number): number | null {
  return share(100 * Math.abs(a - b), (a + b) / 2);
}

/** 100 (stronger - weaker) / sum of both. */
export function differenceOfSum_pct(a: number, b: number): number | null {
  return share(100 * Math.abs(a - b), a + b);
}

/** (45° - atan(x / reference)) / 90° in percent: needs no reference for its size, only for its sign. */
export function symmetryAngle_pct(x: number, reference: number): number | null {
  const angle_deg = (Math.atan2(x, reference) * 180) / Math.PI;
  return finite((100 * (45 - angle_deg)) / 90);
}

/** ln(x / reference): the same size for both choices of reference. */
export function logRatio(x: number, reference: number): number | null {
  return finite(Math.log(x / reference));
}

/** 100 both / (left + right) - 100: below 0, both limbs together give less than the two alone. */
export function bilateralIndex_pct(both: number, left: number, right: number): number | null {
  const ratio = share(100 * both, left + right);
  return ratio === null ? null : ratio - 100;
}

function share(part: number, whole: number): number | null {
  return whole === 0 ? null : finite(part / whole);
}

function finite(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}
