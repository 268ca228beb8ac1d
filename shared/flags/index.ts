/**
 * Flags: what a person should look at. Live ones watch unfiltered, calibrated samples as they arrive and
 * say the same however the stream is cut; offline ones read a finished analysis. Neither changes a number.
 */
import type { Mode } from '../analysis-types.ts';
import type { Block, QuantityName } from '../block/block.ts';
import type { AnalysisFindings } from './findings.ts';
import type { Flag, FlagKind, Priority } from './flag.ts';
import type { FlagThresholds } from './thresholds.ts';
import { baselineDrift } from './baseline-drift.ts';
import { clipped } from './clipped.ts';
import { gap } from './gap.ts';
import { inconsistent } from './inconsistent.ts';
import { loadRangeShort } from './load-range-short.ts';
import { overload } from './overload.ts';
import { rangeBeyond } from './range-beyond.ts';
import { rangeNear } from './range-near.ts';
import { rateOff } from './rate-off.ts';
import type { Quiet, Scan } from './scan.ts';
import { saturated } from './saturated.ts';
import { signMismatch } from './sign-mismatch.ts';
import { speedNotReached } from './speed-not-reached.ts';
import { spike } from './spike.ts';
import { stopImpact } from './stop-impact.ts';
import { stuck } from './stuck.ts';
import { torqueUnsigned } from './torque-unsigned.ts';
import { weighingImplausible } from './weighing-implausible.ts';

/** What the station knows about the test that is running. A change of it makes new watchers. */
export interface LiveContext {
  /** Nominal samples a second. */
  readonly rate_Hz: number;
  readonly mode: Mode | null;
  /** The pattern's words, or rising and falling. */
  readonly rising: string;
  readonly falling: string;
  /** Software limits [least, most]; null when none is set. */
  readonly range_deg: readonly [number, number] | null;
  readonly torqueLimit_Nm: number | null;
  /** The subject's largest torque so far in this position; null before the first. */
  readonly referenceTorque_Nm: number | null;
  /** Ends of the converter in the column's own unit, where the device states them. */
  readonly converterEnds: ReadonlyMap<QuantityName, readonly [number, number]>;
  /** Rate measured against another clock; null while unknown. Asked about once a second. */
  readonly measuredRate_Hz: () => number | null;
  readonly thresholds: FlagThresholds;
}

/**
 * A flag is given when it begins (`end_s` equals `start_s`) and again when it is over, with its worst
 * value; `flagKey` says which belong together: the second replaces the first.
 */
export interface Watcher {
  /** Blocks in order, each seen by the scanner first. Times in flags are `index / rate_Hz`. */
  push(scan: Scan): readonly Flag[];
  /** The stream is over: what was still going on is given once more. */
  end(): readonly Flag[];
  /** What it need not look at while nothing is going on; columns that it does not name are all quiet. */
  readonly quiet: ReadonlyMap<QuantityName, Quiet>;
}

/** All watchers over blocks, as `watchLive` makes it. Flags of one kind come in the order of time. */
export interface FlagWatcher {
  /** Blocks in order; nothing of a block is kept. */
  push(block: Block): readonly Flag[];
  end(): readonly Flag[];
}

export interface LiveFlag {
  readonly kind: FlagKind;
  /** The highest it raises. */
  readonly priority: Priority;
  /** One sentence for the README. */
  readonly about: string;
  create(context: LiveContext): Watcher;
}

export interface OfflineFlag {
  readonly kind: FlagKind;
  readonly priority: Priority;
  readonly about: string;
  find(findings: AnalysisFindings): readonly Flag[];
}

export const LIVE_FLAGS = [
  rangeBeyond,
  overload,
  rangeNear,
  saturated,
  stuck,
  gap,
  rateOff,
  spike,
] as const satisfies readonly LiveFlag[];

export const OFFLINE_FLAGS = [
  stopImpact,
  speedNotReached,
  loadRangeShort,
  inconsistent,
  baselineDrift,
  weighingImplausible,
  signMismatch,
  torqueUnsigned,
  clipped,
] as const satisfies readonly OfflineFlag[];
