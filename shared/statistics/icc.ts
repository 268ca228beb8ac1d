/**
 * Intraclass correlations: the six forms of Shrout & Fleiss 1979 (Psychol Bull 86:420) with their
 * confidence intervals. They answer different questions: a figure without its form means nothing.
 */
import type { MeanSquares } from './anova.ts';
import { fQuantile } from './quantiles.ts';

export const ICC_FORMS = {
  'ICC(1,1)': 'one-way random, absolute agreement, single measure',
  'ICC(2,1)': 'two-way random, absolute agreement, single measure',
  'ICC(3,1)': 'two-way mixed, consistency, single measure',
  'ICC(1,k)': 'one-way random, absolute agreement, mean of k measures',
  'ICC(2,k)': 'two-way random, absolute agreement, mean of k measures',
  'ICC(3,k)': 'two-way mixed, consistency, mean of k measures',
} as const;

export type IccForm = keyof typeof ICC_FORMS;

export interface Icc {
  readonly form: IccForm;
  readonly about: string;
  /** May be negative: then the differences within subjects exceed those between them. */
  readonly value: number;
  readonly interval: readonly [number, number];
  readonly confidence: number;
}

/** NaN where the table has no variance at all. */
export function iccOf(form: IccForm, squares: MeanSquares, confidence = 0.95): Icc {
  const { value, interval } = single(form, squares, (1 + confidence) / 2);
  const toMean = (icc: number) => (squares.nTrials * icc) / (1 + (squares.nTrials - 1) * icc);
  const isMean = form.endsWith('k)');
  return {
    form,
    about: ICC_FORMS[form],
    value: isMean ? toMean(value) : value,
    interval: isMean ? [toMean(interval[0]), toMean(interval[1])] : interval,
    confidence,
  };
}

interface Estimate {
  readonly value: number;
  readonly interval: readonly [number, number];
}

/** The single-measure value; the mean of k follows from it by Spearman-Brown, interval included. */
function single(form: IccForm, squares: MeanSquares, p: number): Estimate {
  switch (form) {
    case 'ICC(1,1)':
    case 'ICC(1,k)':
      return ratio(squares, squares.wms, squares.nSubjects * (squares.nTrials - 1), p);
    case 'ICC(3,1)':
    case 'ICC(3,k)':
      return ratio(squares, squares.ems, (squares.nSubjects - 1) * (squares.nTrials - 1), p);
    case 'ICC(2,1)':
    case 'ICC(2,k)':
      return agreement(squares, p);
  }
}

/** (F - 1) / (F + k - 1) with F = BMS / error; its limits are F over and times the F quantiles. */
function ratio(
  { bms, nSubjects, nTrials }: MeanSquares,
  error: number,
  dof: number,
  p: number,
): Estimate {
  const f = bms / error;
  const icc = (value: number) => (value - 1) / (value + nTrials - 1);
  return {
    value: icc(f),
    interval: [
      icc(f / fQuantile(p, nSubjects - 1, dof)),
      icc(f * fQuantile(p, dof, nSubjects - 1)),
    ],
  };
}

/** ICC(2,1); its interval by the approximate degrees of freedom v of Shrout & Fleiss 1979, p. 424. */
function agreement({ bms, ems, jms, nSubjects: n, nTrials: k }: MeanSquares, p: number): Estimate {
  const value = (bms - ems) / (bms + (k - 1) * ems + (k * (jms - ems)) / n);
  const fj = jms / ems;
  const share = n * (1 + (k - 1) * value) - k * value;
  const v =
    ((k - 1) * (n - 1) * (k * value * fj + share) ** 2) /
    ((n - 1) * k * k * value * value * fj * fj + share * share);
  const lower = fQuantile(p, n - 1, v);
  const upper = fQuantile(p, v, n - 1);
  const rest = k * jms + (k * n - k - n) * ems;
  return {
    value,
    interval: [
      (n * (bms - lower * ems)) / (lower * rest + n * bms),
      (n * (upper * bms - ems)) / (rest + n * upper * bms),
    ],
  };
}
