/**
 * The weight of limb and attachment from a slow passive sweep, with what is known about its certainty.
 * `identifiable` is false when the swept range cannot tell amplitude from offset: use a curve then.
 */
import type { Weighing } from '../analysis-types.ts';
import { fitSinusoid, type SinusoidFit } from './sinusoid.ts';
import { readSweep, SWEEP_OPTIONS, type SweepOptions } from './sweep.ts';

/**
 * Smooth wobble that a sweep may carry unseen, rms. Both ways: drift of the sensor, 0.1 Nm a minute (from
 * memory). One way: friction too, which on a real ankle varies by 0.3 Nm along the way (weighing-ankle).
 */
const UNSEEN_WOBBLE_NM = { bothWays: 0.1, oneWay: 0.3 };
/** The amplitude must be known to this share of itself. A quarter: chosen here. */
const KNOWN_SHARE = 0.25;

/** Every number null when the sweep does not determine a sinusoid (too short, no movement). */
export function fitWeighing(
  angle_deg: ArrayLike<number>,
  torque_Nm: ArrayLike<number>,
  velocity_degps: ArrayLike<number>,
  options: SweepOptions = SWEEP_OPTIONS,
): Weighing {
  const sweep = readSweep(angle_deg, torque_Nm, velocity_degps, options);
  const fit = fitSinusoid(sweep.points);
  if (fit === null) return notWeighed(sweep.range_deg);
  return weighingOf(fit, sweep.range_deg, sweep.friction_Nm === null ? 'oneWay' : 'bothWays');
}

/** The same from a finished fit; static holds count as both ways, because they have no friction. */
export function weighingOf(
  fit: SinusoidFit,
  range_deg: readonly [number, number],
  ways: 'oneWay' | 'bothWays',
): Weighing {
  const widening = wideningOf(fit.residuals_Nm);
  const uncertainty_Nm = Math.hypot(
    Number.isNaN(fit.amplitudeError_Nm) ? 0 : fit.amplitudeError_Nm * widening,
    UNSEEN_WOBBLE_NM[ways] * fit.amplification,
  );
  return {
    amplitude_Nm: fit.amplitude_Nm,
    horizontalAt_deg: fit.horizontalAt_deg,
    offset_Nm: fit.offset_Nm,
    standardErrors: {
      amplitude_Nm: finite(fit.amplitudeError_Nm * widening),
      horizontalAt_deg: finite(fit.horizontalAtError_deg * widening),
      offset_Nm: finite(fit.offsetError_Nm * widening),
    },
    rmsResidual_Nm: fit.rmsResidual_Nm,
    range_deg,
    identifiable: uncertainty_Nm <= KNOWN_SHARE * Math.abs(fit.amplitude_Nm),
  };
}

/**
 * Residuals that stay on one side for long are few independent ones: n of them in r runs of one sign count
 * as 2 (r - 1), because independent ones change sign every second time.
 */
function wideningOf(residuals: Float64Array): number {
  let runs = 1;
  for (let i = 1; i < residuals.length; i += 1) {
    if (residuals[i] > 0 !== residuals[i - 1] > 0) runs += 1;
  }
  const independent = Math.min(residuals.length, Math.max(1, 2 * (runs - 1)));
  return Math.sqrt(residuals.length / independent);
}

function notWeighed(range_deg: readonly [number, number]): Weighing {
  return {
    amplitude_Nm: null,
    horizontalAt_deg: null,
    offset_Nm: null,
    standardErrors: { amplitude_Nm: null, horizontalAt_deg: null, offset_Nm: null },
    rmsResidual_Nm: null,
    range_deg,
    identifiable: false,
  };
}

function finite(value: number): number | null {
  return Number.isFinite(value) ? value : null;
}
