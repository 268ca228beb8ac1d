/** Fields that many kinds of item share: texts with an end, finite numbers, pseudonymous codes. */
import * as v from 'valibot';

export const text = (most: number) => v.pipe(v.string(), v.maxLength(most));
export const line = (most: number) =>
  v.pipe(v.string(), v.trim(), v.minLength(1), v.maxLength(most));
export const number = (least: number, most: number) =>
  v.pipe(v.number(), v.finite(), v.minValue(least), v.maxValue(most));
export const side = v.picklist(['left', 'right']);
export const mode = v.picklist(['isokinetic', 'isotonic', 'isometric', 'passive']);

/** Letters, digits, dot, dash, underscore: fits a file name on every system, and no name of a person. */
export const code = v.pipe(
  v.string(),
  v.regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$/, 'needs 1 to 32 letters, digits, dots, dashes'),
);

/** A recording's id: never a path. */
export const recording = v.pipe(
  v.string(),
  v.regex(/^[0-9A-Za-z][0-9A-Za-z-]{0,95}$/, 'needs a recording id'),
);
