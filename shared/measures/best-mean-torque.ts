import { ISOMETRIC, type Measure } from './measure.ts';
import type { Window } from './window.ts';

/** Best mean over the recipe's widths; null for a width longer than the effort. */
export const bestMeanTorque = {
  id: 'bestMeanTorque_Nm',
  name: 'Best mean torque',
  unit: 'Nm',
  formula: 'largest moving mean of τ over the width',
  source: 'mean of the best 0.5 or 1 s: common practice, no source',
  check: 'plantarflexion-mvc, elderly-isometric-force',
  actions: ISOMETRIC,
  of(window: Window) {
    const { bestWindows_ms } = window.recipe.measures;
    return Object.fromEntries(
      bestWindows_ms.map((width_ms) => {
        const width = Math.round((width_ms / 1000) * window.rate_Hz);
        return [String(width_ms), bestMean(window.torque_Nm, window, width)?.mean ?? null];
      }),
    );
  },
} as const satisfies Measure<string, Readonly<Record<string, number | null>>>;

/** Largest moving mean over `width` samples and where it begins; null for too few without a hole. */
export function bestMean(
  values: Float64Array,
  { first, end }: { readonly first: number; readonly end: number },
  width: number,
): { readonly mean: number; readonly first: number } | null {
  if (width < 1) return null;
  let best: { mean: number; first: number } | null = null;
  let sum = 0;
  let from = first;
  for (let i = first; i < end; i += 1) {
    if (values[i] !== values[i]) {
      sum = 0;
      from = i + 1;
      continue;
    }
    sum += values[i];
    if (i - from === width) {
      sum -= values[from];
      from += 1;
    }
    if (i - from === width - 1 && (best === null || sum / width > best.mean)) {
      best = { mean: sum / width, first: from };
    }
  }
  return best;
}
