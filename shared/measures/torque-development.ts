import { ISOMETRIC, type Measure } from './measure.ts';
import type { Window } from './window.ts';

/** Slope from onset to each of the recipe's times after it; null where the effort ends before. */
export const rateOfTorqueDevelopment = {
  id: 'rateOfTorqueDevelopment_Nmps',
  name: 'Rate of torque development',
  unit: 'Nm/s',
  formula: '(τ(onset + w) - τ(onset)) / w',
  source: 'Maffiuletti et al. 2016 (from memory); windows from the recipe',
  check: 'analytic-repetition, plantarflexion-mvc',
  actions: ISOMETRIC,
  of(window: Window) {
    const { windows_ms } = window.recipe.onset;
    if (window.onset < 0) return null;
    return Object.fromEntries(
      windows_ms.map((width) => [`0-${String(width)}`, slopeBetween(window, 0, width)]),
    );
  },
} as const satisfies Measure<string, Readonly<Record<string, number | null>> | null>;

/** Slope between the two longest of the recipe's times: the late part. */
export const lateRateOfTorqueDevelopment = {
  id: 'lateRateOfTorqueDevelopment_Nmps',
  name: 'Late rate of torque development',
  unit: 'Nm/s',
  formula: '(τ(onset + w2) - τ(onset + w1)) / (w2 - w1), the two longest of the windows',
  source: 'Maffiuletti et al. 2016 (from memory)',
  check: 'analytic-repetition',
  actions: ISOMETRIC,
  of(window: Window) {
    const [from, to] = window.recipe.onset.windows_ms.slice(-2);
    if (from === undefined || to === undefined || window.onset < 0) return null;
    return slopeBetween(window, from, to);
  },
} as const satisfies Measure<string, number | null>;

/** Steepest slope over the recipe's short width between onset and peak. */
export const peakRateOfTorqueDevelopment = {
  id: 'peakRateOfTorqueDevelopment_Nmps',
  name: 'Peak rate of torque development',
  unit: 'Nm/s',
  formula: 'max (τ(t + 20 ms) - τ(t)) / 20 ms between onset and peak',
  source: 'moving slope, common practice, no source; 20 ms from the recipe',
  check: 'analytic-repetition, plantarflexion-mvc',
  actions: ISOMETRIC,
  of(window: Window) {
    const { fine_Nm, onset, peak, rate_Hz, recipe } = window;
    const width = Math.round((recipe.onset.peakWindow_ms / 1000) * rate_Hz);
    if (fine_Nm === null || onset < 0 || width < 1) return null;
    let most = -Infinity;
    for (let i = onset; i + width < window.end && i <= peak; i += 1) {
      const rise = fine_Nm[i + width] - fine_Nm[i];
      if (rise > most) most = rise;
    }
    return most > 0 ? (most / width) * rate_Hz : null;
  },
} as const satisfies Measure<string, number | null>;

function slopeBetween(window: Window, from_ms: number, to_ms: number): number | null {
  const { fine_Nm, onset, rate_Hz, end } = window;
  if (fine_Nm === null) return null;
  const from = valueAt(fine_Nm, onset + (from_ms / 1000) * rate_Hz, end);
  const to = valueAt(fine_Nm, onset + (to_ms / 1000) * rate_Hz, end);
  const slope = (1000 * (to - from)) / (to_ms - from_ms);
  return slope === slope ? slope : null;
}

/** Linear between samples; NaN from the end on. */
function valueAt(values: Float64Array, at: number, end: number): number {
  const left = Math.floor(at);
  const share = at - left;
  if (at > end - 1) return Number.NaN;
  return share === 0 ? values[left] : values[left] + share * (values[left + 1] - values[left]);
}
