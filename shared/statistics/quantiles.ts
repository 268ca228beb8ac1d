/** Quantiles and tails of the distributions that confidence intervals need. */
import { incompleteBeta, inverseBeta } from './incomplete-beta.ts';

/** Student's t: the value below which a share p lies; 0 < p < 1, dof > 0, fractions allowed. */
export function tQuantile(p: number, dof: number): number {
  if (p === 0.5) return 0;
  const tail = 2 * Math.min(p, 1 - p);
  const { x, rest } = inverseBeta(tail, dof / 2, 0.5);
  const t = Math.sqrt((dof * rest) / x);
  return p < 0.5 ? -t : t;
}

/** Fisher's F: the value below which a share p lies; 0 < p < 1, degrees of freedom may be fractions. */
export function fQuantile(p: number, dof1: number, dof2: number): number {
  const { x, rest } = inverseBeta(p, dof1 / 2, dof2 / 2);
  return (dof2 * x) / (dof1 * rest);
}

/** Probability that F is at least `value`. */
export function fUpperTail(value: number, dof1: number, dof2: number): number {
  return incompleteBeta(dof2 / (dof2 + dof1 * value), dof2 / 2, dof1 / 2);
}

/** The Gaussian distribution's quantile: Wichura 1988, algorithm AS 241 (PPND16), Appl Stat 37:477. */
export function gaussianQuantile(p: number): number {
  const q = p - 0.5;
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q;
    return (q * horner(A, r)) / horner(B, r);
  }
  const r = Math.sqrt(-Math.log(q < 0 ? p : 1 - p));
  const z = r <= 5 ? horner(C, r - 1.6) / horner(D, r - 1.6) : horner(E, r - 5) / horner(F, r - 5);
  return q < 0 ? -z : z;
}

/** Coefficients from the highest power down. */
function horner(coefficients: readonly number[], x: number): number {
  return coefficients.reduce((total, c) => total * x + c, 0);
}

const A = [
  2509.0809287301226727, 33430.575583588128105, 67265.770927008700853, 45921.953931549871457,
  13731.693765509461125, 1971.5909503065514427, 133.14166789178437745, 3.387132872796366608,
];
const B = [
  5226.495278852545925, 28729.085735721942674, 39307.89580009271061, 21213.794301586595867,
  5394.1960214247511077, 687.1870074920579083, 42.313330701600911252, 1,
];
const C = [
  7.7454501427834140764e-4, 0.0227238449892691845833, 0.24178072517745061177,
  1.27045825245236838258, 3.64784832476320460504, 5.7694972214606914055, 4.6303378461565452959,
  1.42343711074968357734,
];
const D = [
  1.05075007164441684324e-9, 5.475938084995344946e-4, 0.0151986665636164571966,
  0.14810397642748007459, 0.68976733498510000455, 1.6763848301838038494, 2.05319162663775882187, 1,
];
const E = [
  2.01033439929228813265e-7, 2.71155556874348757815e-5, 0.0012426609473880784386,
  0.026532189526576123093, 0.29656057182850489123, 1.7848265399172913358, 5.4637849111641143699,
  6.6579046435011037772,
];
const F = [
  2.04426310338993978564e-15, 1.4215117583164458887e-7, 1.8463183175100546818e-5,
  7.868691311456132591e-4, 0.0148753612908506148525, 0.13692988092273580531, 0.59983220655588793769,
  1,
];
