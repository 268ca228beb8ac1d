/**
 * Linear least squares by Householder reflections (Businger & Golub 1965, Numer Math 7:269): never forms
 * AᵀA, which would square the condition number.
 */

export interface LeastSquares {
  readonly coefficients: readonly number[];
  /** Standard errors of the coefficients; NaN without spare points. */
  readonly errors: readonly number[];
  /** n - p degrees of freedom; NaN without spare points. */
  readonly residualSd: number;
  /** Upper triangular inverse: covariance = residualSd² inverseR inverseRᵀ; [row][column]. */
  readonly inverseR: readonly (readonly number[])[];
  readonly residuals: Float64Array;
  /** Largest over smallest diagonal of R: a cheap lower bound of the condition number. */
  readonly condition: number;
}

/** A column this much smaller than the largest after elimination carries no information. */
const RANK_TOLERANCE = 1e-13;

/**
 * Columns of the design matrix, each as long as y. Null with fewer points than columns or when the
 * columns depend on each other.
 */
export function leastSquares(
  design: readonly ArrayLike<number>[],
  y: ArrayLike<number>,
): LeastSquares | null {
  const n = y.length;
  const p = design.length;
  if (n < p || p === 0) return null;
  const columns = design.map((column) => Float64Array.from(column));
  const rhs = Float64Array.from(y);
  const diagonal = triangularise(columns, rhs);
  const sizes = diagonal.map(Math.abs);
  const largest = Math.max(...sizes);
  const smallest = Math.min(...sizes);
  if (!(smallest > RANK_TOLERANCE * largest)) return null;
  const r = (row: number, column: number) =>
    row === column ? diagonal[row] : columns[column][row];
  const coefficients = solveUpper(r, rhs, p);
  const residuals = residualsOf(design, y, coefficients);
  const squares = residuals.reduce((total, e) => total + e * e, 0);
  const residualSd = n > p ? Math.sqrt(squares / (n - p)) : Number.NaN;
  const inverseR = inverseUpper(r, p);
  const errors = inverseR.map((row) => residualSd * Math.hypot(...row));
  return {
    coefficients: [...coefficients],
    errors,
    residualSd,
    inverseR,
    residuals,
    condition: largest / smallest,
  };
}

/** Leaves R above the diagonal and the reflectors on and below it; returns R's diagonal. */
function triangularise(columns: readonly Float64Array[], rhs: Float64Array): number[] {
  return columns.map((column, k) => {
    let square = 0;
    for (let i = k; i < column.length; i += 1) square += column[i] * column[i];
    const norm = Math.sqrt(square);
    if (norm === 0) return 0;
    const diagonal = column[k] > 0 ? -norm : norm;
    column[k] -= diagonal;
    for (const other of columns.slice(k + 1)) reflect(column, other, k);
    reflect(column, rhs, k);
    return diagonal;
  });
}

/** target -= 2 v (v·target) / (v·v), over the rows from `first`. */
function reflect(v: Float64Array, target: Float64Array, first: number): void {
  let dot = 0;
  let square = 0;
  for (let i = first; i < v.length; i += 1) {
    dot += v[i] * target[i];
    square += v[i] * v[i];
  }
  if (square === 0) return;
  const factor = (2 * dot) / square;
  for (let i = first; i < v.length; i += 1) target[i] -= factor * v[i];
}

type Upper = (row: number, column: number) => number;

function solveUpper(r: Upper, rhs: ArrayLike<number>, p: number): Float64Array {
  const solution = new Float64Array(p);
  for (let row = p - 1; row >= 0; row -= 1) {
    let value = rhs[row];
    for (let column = row + 1; column < p; column += 1) value -= r(row, column) * solution[column];
    solution[row] = value / r(row, row);
  }
  return solution;
}

function inverseUpper(r: Upper, p: number): number[][] {
  const columns = Array.from({ length: p }, (_, c) =>
    solveUpper(
      r,
      Array.from({ length: p }, (_, i) => (i === c ? 1 : 0)),
      p,
    ),
  );
  return Array.from({ length: p }, (_, row) => columns.map((column) => column[row]));
}

function residualsOf(
  design: readonly ArrayLike<number>[],
  y: ArrayLike<number>,
  coefficients: ArrayLike<number>,
): Float64Array {
  const residuals = Float64Array.from(y);
  design.forEach((column, k) => {
    for (let i = 0; i < residuals.length; i += 1) residuals[i] -= coefficients[k] * column[i];
  });
  return residuals;
}
