/** The limits of the flags as parameters of the recipe: their defaults are the flags' own. */
import { FLAG_THRESHOLDS } from '../flags/thresholds.ts';
import { limit, list } from './parameter.ts';

export const FLAG_PARAMETERS = {
  rangeNear_deg: limit(FLAG_THRESHOLDS.rangeNear_deg, 'deg', 90, 'Near a range limit'),
  rangeNear_s: limit(FLAG_THRESHOLDS.rangeNear_s, 's', 5, 'Reaching it within this'),
  rangeHysteresis_deg: limit(FLAG_THRESHOLDS.rangeHysteresis_deg, 'deg', 30, 'Back inside'),
  overloadNear_pct: limit(FLAG_THRESHOLDS.overloadNear_pct, '%', 100, 'Near the torque limit'),
  overloadRelative_pct: limit(FLAG_THRESHOLDS.overloadRelative_pct, '%', 1000, 'Against own best'),
  overloadHysteresis_pct: limit(FLAG_THRESHOLDS.overloadHysteresis_pct, '%', 50, 'Over again'),
  saturated_s: limit(FLAG_THRESHOLDS.saturated_s, 's', 5, 'Time at an end of the converter'),
  stuck_s: limit(FLAG_THRESHOLDS.stuck_s, 's', 60, 'The same number for this long'),
  stuckAngleTorque_Nm: limit(
    FLAG_THRESHOLDS.stuckAngleTorque_Nm,
    'Nm',
    500,
    'Torque moved while the angle is stuck',
  ),
  spike_Nm: limit(FLAG_THRESHOLDS.spike_Nm, 'Nm', 500, 'Lone sample of torque'),
  spike_deg: limit(FLAG_THRESHOLDS.spike_deg, 'deg', 90, 'Lone sample of angle'),
  spikeNoise_factor: limit(FLAG_THRESHOLDS.spikeNoise_factor, '', 100, '...times the noise'),
  gapMerge_s: limit(FLAG_THRESHOLDS.gapMerge_s, 's', 60, 'Holes told as one'),
  gapTolerated_ms: limit(FLAG_THRESHOLDS.gapTolerated_ms, 'ms', 1000, 'Longer hole told louder'),
  rateOff_pct: limit(FLAG_THRESHOLDS.rateOff_pct, '%', 50, 'Rate off'),
  speedTolerance_pct: limit(FLAG_THRESHOLDS.speedTolerance_pct, '%', 50, 'Speed reached'),
  loadRangeShare_pct: limit(FLAG_THRESHOLDS.loadRangeShare_pct, '%', 100, 'Least load range'),
  stopImpact_pct: limit(FLAG_THRESHOLDS.stopImpact_pct, '%', 500, 'Raw peak above the peak'),
  variation_pct: limit(FLAG_THRESHOLDS.variation_pct, '%', 100, 'Variation of peaks'),
  variationHigh_pct: limit(FLAG_THRESHOLDS.variationHigh_pct, '%', 100, 'Told louder'),
  bestTwo_pct: limit(FLAG_THRESHOLDS.bestTwo_pct, '%', 100, 'Distance of the two best'),
  consistencyRepetitions: list(
    FLAG_THRESHOLDS.consistencyRepetitions,
    'repetitions',
    [1, 1000],
    ['Fewest and most repetitions judged', 'see the flags'],
  ),
  baselineDrift_Nm: limit(FLAG_THRESHOLDS.baselineDrift_Nm, 'Nm', 100, 'Resting torque moves'),
  baselineWindow_s: limit(FLAG_THRESHOLDS.baselineWindow_s, 's', 10, '...within this'),
  weighingLow_factor: limit(FLAG_THRESHOLDS.weighingLow_factor, '', 10, 'Least weight'),
  weighingHigh_factor: limit(FLAG_THRESHOLDS.weighingHigh_factor, '', 10, 'Largest weight'),
  attachmentMost_Nm: limit(FLAG_THRESHOLDS.attachmentMost_Nm, 'Nm', 200, 'Largest attachment'),
} as const;
