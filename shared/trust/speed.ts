/** The speed that was set against the speed that was reached, over the constant-velocity parts. */
import type { Phase } from '../analysis-types.ts';

export interface SpeedCheck {
  readonly commanded_degps: number;
  /** Range of the constant part divided by its time: mean, least and most over the phases. */
  readonly measured_degps: { readonly mean: number; readonly least: number; readonly most: number };
  readonly phases: number;
  readonly difference_pct: number;
}

/** One for each commanded speed, slowest first; phases without a constant part are left out. */
export function speedChecks(phases: readonly Phase[]): SpeedCheck[] {
  const bySpeed = new Map<number, number[]>();
  for (const { loadRange, targetSpeed_degps: commanded } of phases) {
    if (typeof commanded !== 'number' || commanded === 0 || loadRange === null) continue;
    const measured = loadRange.range_deg / (loadRange.end_s - loadRange.start_s);
    if (!Number.isFinite(measured)) continue;
    const known = bySpeed.get(commanded) ?? [];
    bySpeed.set(commanded, [...known, measured]);
  }
  return [...bySpeed]
    .sort(([a], [b]) => a - b)
    .map(([commanded_degps, all]) => {
      const mean = all.reduce((sum, one) => sum + one, 0) / all.length;
      return {
        commanded_degps,
        measured_degps: { mean, least: Math.min(...all), most: Math.max(...all) },
        phases: all.length,
        difference_pct: 100 * (mean / commanded_degps - 1),
      };
    });
}
