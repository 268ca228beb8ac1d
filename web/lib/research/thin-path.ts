/** A curve as the `d` of an SVG path: least and largest a pixel, a missing sample ends the line. */
import type { ViewSpan } from '../view-span.ts';

export interface PathPlace {
  readonly span: ViewSpan;
  readonly left: number;
  readonly right: number;
  readonly yOf: (value: number) => number;
}

/** `x_s` rises. Only what lies in the span is drawn, with one sample on either side. */
export function thinPath(
  x_s: ArrayLike<number>,
  y: ArrayLike<number>,
  { span, left, right, yOf }: PathPlace,
): string {
  const perSecond = (right - left) / (span.to_s - span.from_s);
  const first = Math.max(0, indexAt(x_s, span.from_s) - 1);
  const end = Math.min(x_s.length, indexAt(x_s, span.to_s) + 1);
  const xAt = (i: number) => left + ((x_s[i] ?? 0) - span.from_s) * perSecond;
  let d = '';
  let isDown = false;
  for (let i = first; i < end;) {
    const pixel = Math.floor(xAt(i));
    let [least, most, last] = [Infinity, -Infinity, i];
    let isHole = false;
    for (; i < end && Math.floor(xAt(i)) === pixel; i += 1) {
      const value = y[i] ?? Number.NaN;
      if (Number.isNaN(value)) {
        isHole = true;
        if (least <= most) break;
        continue;
      }
      least = Math.min(least, value);
      most = Math.max(most, value);
      last = i;
    }
    if (least <= most) {
      d += `${isDown ? 'L' : 'M'}${xAt(last).toFixed(1)} ${yOf(least).toFixed(1)}`;
      if (most > least) d += `V${yOf(most).toFixed(1)}`;
      isDown = true;
    }
    if (isHole) isDown = false;
  }
  return d;
}

/** First index whose value is at least `wanted`; the length when none is. */
export function indexAt(x: ArrayLike<number>, wanted: number): number {
  let [low, high] = [0, x.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((x[middle] ?? 0) < wanted) low = middle + 1;
    else high = middle;
  }
  return low;
}
