/**
 * The limits that turn a signal into a flag. They are part of the recipe, so a result names them;
 * none of them changes a measure.
 */

export interface FlagThresholds {
  /** Near a range limit: closer than this, or reaching it within `rangeNear_s` at the present speed. */
  readonly rangeNear_deg: number;
  readonly rangeNear_s: number;
  /** A range flag is over once the limb is this far back inside. */
  readonly rangeHysteresis_deg: number;
  /** Near the torque limit: this share of it. */
  readonly overloadNear_pct: number;
  /** Torque against the subject's own best so far: this many percent of it is out of character. */
  readonly overloadRelative_pct: number;
  /** An overload is over once torque is this share of the limit below it. */
  readonly overloadHysteresis_pct: number;
  /** Consecutive time at an end of the converter; a shorter touch is a spike. */
  readonly saturated_s: number;
  /** The very same number for this long while other things move. */
  readonly stuck_s: number;
  /** Torque must have moved this much meanwhile before a still angle is called stuck. */
  readonly stuckAngleTorque_Nm: number;
  /** A lone sample this far from the median of its nine. */
  readonly spike_Nm: number;
  readonly spike_deg: number;
  /** ...and this many times the usual distance from that median. */
  readonly spikeNoise_factor: number;
  /** Holes closer than this to each other are told as one. */
  readonly gapMerge_s: number;
  /** A longer hole inside a phase makes it not count. */
  readonly gapTolerated_ms: number;
  readonly rateOff_pct: number;
  /** Speed counts as reached within this much of the target. */
  readonly speedTolerance_pct: number;
  /** Least share of the range of motion at constant velocity. */
  readonly loadRangeShare_pct: number;
  /** A raw peak this much above the peak that counts is told. */
  readonly stopImpact_pct: number;
  /** Coefficient of variation of peak torque that is told, and told louder. */
  readonly variation_pct: number;
  readonly variationHigh_pct: number;
  /** Distance of the two best peaks. */
  readonly bestTwo_pct: number;
  /** Sets outside these counts of repetitions are too short, or meant to tire: not judged. */
  readonly consistencyRepetitions: readonly [number, number];
  /** Resting torque that moves this much within `baselineWindow_s` before an effort. */
  readonly baselineDrift_Nm: number;
  readonly baselineWindow_s: number;
  /** Plausible weight: expected from body segments, times these, plus an attachment of at most this. */
  readonly weighingLow_factor: number;
  readonly weighingHigh_factor: number;
  readonly attachmentMost_Nm: number;
}

/**
 * Sources: 10 % of target speed, 30 % load range, 5 % above the window's peak, variation 10/15 % and
 * best two within 10 %: ranges in use in the literature, chosen here (a variation at or below 10 %
 * "fairly certainly maximal", J Rehabil Med 1996; never proof of effort). 50 ms: the program's contract.
 * Resting drift of 1 Nm in 200 ms: rejection rule for rate of torque development, from memory.
 * The others: common practice, no source; their rate over real data is stated in the README.
 */
export const FLAG_THRESHOLDS: FlagThresholds = {
  rangeNear_deg: 2,
  rangeNear_s: 0.05,
  rangeHysteresis_deg: 1,
  overloadNear_pct: 90,
  overloadRelative_pct: 150,
  overloadHysteresis_pct: 5,
  saturated_s: 0.003,
  stuck_s: 1,
  stuckAngleTorque_Nm: 10,
  spike_Nm: 2,
  spike_deg: 2,
  spikeNoise_factor: 8,
  gapMerge_s: 1,
  gapTolerated_ms: 50,
  rateOff_pct: 0.5,
  speedTolerance_pct: 10,
  loadRangeShare_pct: 30,
  stopImpact_pct: 5,
  variation_pct: 10,
  variationHigh_pct: 15,
  bestTwo_pct: 10,
  consistencyRepetitions: [3, 10],
  baselineDrift_Nm: 1,
  baselineWindow_s: 0.2,
  weighingLow_factor: 0.5,
  weighingHigh_factor: 1.5,
  attachmentMost_Nm: 10,
};
