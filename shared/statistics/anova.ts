/**
 * The mean squares of a table of subjects (rows) by trials (columns): what every reliability figure is
 * made of. Names as in Shrout & Fleiss 1979.
 */
import { sum } from './moments.ts';

export interface MeanSquares {
  readonly nSubjects: number;
  readonly nTrials: number;
  /** Rows with a missing value, left out. */
  readonly nLeftOut: number;
  /** Between subjects, within subjects, between trials (judges), residual. */
  readonly bms: number;
  readonly wms: number;
  readonly jms: number;
  readonly ems: number;
  readonly grandMean: number;
  /** Mean of each trial, in order. */
  readonly trialMeans: readonly number[];
}

/** Null with fewer than 2 complete rows or 2 columns. A row with a NaN or too short is left out. */
export function meanSquares(table: readonly (readonly number[])[]): MeanSquares | null {
  const k = Math.max(0, ...table.map((row) => row.length));
  const rows = table.filter((row) => row.length === k && row.every(Number.isFinite));
  const n = rows.length;
  if (n < 2 || k < 2) return null;
  const grandMean = sum(rows.flat()) / (n * k);
  const subjectMeans = rows.map((row) => sum(row) / k);
  const trialMeans = Array.from({ length: k }, (_, j) => sum(rows.map((row) => row[j])) / n);
  const between = k * sum(subjectMeans.map((mean) => (mean - grandMean) ** 2));
  const trials = n * sum(trialMeans.map((mean) => (mean - grandMean) ** 2));
  const residual = sum(
    rows.flatMap((row, i) =>
      row.map((value, j) => (value - subjectMeans[i] - trialMeans[j] + grandMean) ** 2),
    ),
  );
  return {
    nSubjects: n,
    nTrials: k,
    nLeftOut: table.length - n,
    bms: between / (n - 1),
    wms: (trials + residual) / (n * (k - 1)),
    jms: trials / (k - 1),
    ems: residual / ((n - 1) * (k - 1)),
    grandMean,
    trialMeans,
  };
}
