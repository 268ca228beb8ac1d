/**
 * Is a raw reading settled? Means of a tenth of a second over the last second and a half: they may differ
 * by what noise makes of them, and by a small share of what was measured so far; more is a swinging load.
 */
import { momentsOf } from '../statistics/moments.ts';

export interface SettleWatch {
  /** Of the window, in raw units; NaN until it is full. */
  readonly mean: number;
  /** Half the distance between the largest and the least tenth, raw units; NaN until it is full. */
  readonly swing: number;
  readonly isSettled: boolean;
  /** `span` is the range of outputs read so far, raw units. */
  push(values: ArrayLike<number>, n: number, rate_Hz: number, span: number): void;
  /** The load was changed: what was seen counts no more. */
  restart(): void;
}

const MEAN_S = 0.1;
const MEANS = 15;
/** The largest of 15 means lies within 6 standard errors of the least (normal noise: 3.5 expected). */
const ERRORS = 6;
const SPAN_SHARE = 0.0015;
/** A converter's step in raw units of a device that sends counts. */
const STEP = 1;

export function createSettleWatch(): SettleWatch {
  let part: number[] = [];
  let means: number[] = [];
  let scatters: number[] = [];
  let mean = Number.NaN;
  let swing = Number.NaN;
  let isSettled = false;

  const judge = (perMean: number, span: number): void => {
    if (means.length < MEANS) return;
    mean = momentsOf(means).mean;
    swing = (Math.max(...means) - Math.min(...means)) / 2;
    const sorted = [...scatters].sort((a, b) => a - b);
    const error = (sorted[sorted.length >> 1] ?? 0) / Math.sqrt(perMean);
    const quantised = span > 100 ? STEP : 0;
    isSettled = 2 * swing <= Math.max(ERRORS * error, SPAN_SHARE * span, quantised);
  };

  return {
    get mean() {
      return mean;
    },
    get swing() {
      return swing;
    },
    get isSettled() {
      return isSettled;
    },
    push(values, n, rate_Hz, span) {
      const perMean = Math.max(2, Math.round(MEAN_S * rate_Hz));
      for (let i = 0; i < n; i += 1) {
        const value = values[i] ?? Number.NaN;
        if (Number.isNaN(value)) continue;
        part.push(value);
        if (part.length < perMean) continue;
        const moments = momentsOf(part);
        means = [...means, moments.mean].slice(-MEANS);
        scatters = [...scatters, moments.sd].slice(-MEANS);
        part = [];
        judge(perMean, span);
      }
    },
    restart() {
      part = [];
      means = [];
      scatters = [];
      mean = Number.NaN;
      swing = Number.NaN;
      isSettled = false;
    },
  };
}
