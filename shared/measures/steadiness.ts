import { fitLine } from '../statistics/line.ts';
import { momentsOf } from '../statistics/moments.ts';
import { ISOMETRIC, type Measure } from './measure.ts';
import type { Window } from './window.ts';

/** How steadily a held effort was held; null when its middle is too short. */
export const steadiness = {
  id: 'steadiness',
  name: 'Steadiness',
  unit: '',
  formula:
    'middle of the effort without its trimmed ends: mean_Nm, cv_pct = 100 SD / mean (n - 1), ' +
    'detrendedCv_pct = the same after a straight line, slope_Nmps; with a target: ' +
    'rmse_Nm = sqrt(mean (τ - target)²) and timeInBand_pct',
  source: 'J Mot Behav 2002 (SD and CV of held torque); band: common practice, no source',
  check: 'elderly-isometric-force, analytic-repetition',
  actions: ISOMETRIC,
  of(window: Window) {
    const { steadinessTrim_s, steadinessLeast_s, target_Nm, band_pct } = window.recipe.measures;
    const trim = Math.round(steadinessTrim_s * window.rate_Hz);
    const middle = window.torque_Nm.subarray(window.first + trim, window.end - trim);
    const isEnough = window.end - window.first - 2 * trim >= steadinessLeast_s * window.rate_Hz;
    return isEnough ? steadinessOf(middle, window.rate_Hz, target_Nm, band_pct) : null;
  },
} as const satisfies Measure<string, Readonly<Record<string, number | null>> | null>;

/** Of torque in the direction of the effort; any missing sample makes it null. */
export function steadinessOf(
  torque_Nm: Float64Array,
  rate_Hz: number,
  target_Nm: number | null,
  band_pct: number,
): Readonly<Record<string, number | null>> | null {
  const { mean, sd } = momentsOf(torque_Nm);
  const line = fitLine(
    Float64Array.from(torque_Nm, (_, i) => i / rate_Hz),
    torque_Nm,
  );
  if (line === null || !Number.isFinite(sd) || mean === 0) return null;
  const left = torque_Nm.map((torque, i) => torque - line.intercept - line.slope * (i / rate_Hz));
  return {
    mean_Nm: mean,
    cv_pct: (100 * sd) / Math.abs(mean),
    detrendedCv_pct: (100 * momentsOf(left).sd) / Math.abs(mean),
    slope_Nmps: line.slope,
    ...againstTarget(torque_Nm, target_Nm === null ? null : Math.abs(target_Nm), band_pct),
  };
}

function againstTarget(torque_Nm: Float64Array, target_Nm: number | null, band_pct: number) {
  if (target_Nm === null) return { rmse_Nm: null, timeInBand_pct: null };
  const half = (band_pct / 100) * target_Nm;
  let squares = 0;
  let inside = 0;
  for (const torque of torque_Nm) {
    squares += (torque - target_Nm) ** 2;
    if (Math.abs(torque - target_Nm) <= half) inside += 1;
  }
  return {
    rmse_Nm: Math.sqrt(squares / torque_Nm.length),
    timeInBand_pct: (100 * inside) / torque_Nm.length,
  };
}
