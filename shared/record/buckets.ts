/** Least and largest value in each of many equal spans of a stream: what a trace on a screen needs. */

export interface Buckets {
  /** NaN where there is no sample. */
  readonly min: Float64Array;
  readonly max: Float64Array;
}

export interface BucketFiller extends Buckets {
  /** Samples [first, end) lie between the two values. What lies in two buckets counts in both. */
  span(first: number, end: number, min: number, max: number): void;
}

/** `count` buckets over the indices [fromIndex, toIndex). */
export function createBuckets(range: {
  readonly fromIndex: number;
  readonly toIndex: number;
  readonly count: number;
}): BucketFiller {
  const { fromIndex, toIndex, count } = range;
  const min = new Float64Array(count).fill(Number.NaN);
  const max = new Float64Array(count).fill(Number.NaN);
  const perSample = count / (toIndex - fromIndex);
  return {
    min,
    max,
    span(first, end, least, most) {
      if (!(least <= most)) return;
      const from = Math.max(Math.floor((first - fromIndex) * perSample), 0);
      const to = Math.min(Math.ceil((end - fromIndex) * perSample), count);
      for (let k = from; k < to; k += 1) {
        if (!(least >= (min[k] ?? 0))) min[k] = least;
        if (!(most <= (max[k] ?? 0))) max[k] = most;
      }
    },
  };
}
