/**
 * All flags of a finished analysis: what reading found, what the live watchers see in the very same
 * samples, and what only the finished phases and sets can show. One list, by time.
 */
import type { Signal } from '../analysis-types.ts';
import type { Block, QuantityName } from '../block/block.ts';
import type { AnalysisFindings } from './findings.ts';
import { type Flag, flagKey } from './flag.ts';
import { type LiveContext, OFFLINE_FLAGS } from './index.ts';
import { watchLive } from './live.ts';

/** An interval this many times the nominal one is a hole. */
const HOLE = 1.5;

export function analysisFlags(findings: AnalysisFindings): readonly Flag[] {
  const { signal } = findings;
  const read = new Set(signal.flags.map((flag) => flag.kind));
  const watched = watchSignal(findings).filter((flag) => !read.has(flag.kind));
  const found = OFFLINE_FLAGS.flatMap((flag) => flag.find(findings));
  return [...signal.flags, ...watched, ...found].sort(byTime);
}

/** The live watchers over a whole signal; the begin of a flag is dropped for its final form. */
export function watchSignal(findings: AnalysisFindings): readonly Flag[] {
  const { signal } = findings;
  const watcher = watchLive(contextOf(findings));
  const told: Flag[] = [];
  for (const block of blocksOf(signal, findings.velocity_degps)) told.push(...watcher.push(block));
  told.push(...watcher.end());
  return finalForms(told).map((flag) => onSignalTime(flag, signal));
}

function byTime(a: Flag, b: Flag): number {
  return a.start_s - b.start_s;
}

/** The last of the flags that are one. */
export function finalForms(flags: readonly Flag[]): readonly Flag[] {
  const byKey = new Map<string, Flag>();
  for (const flag of flags) byKey.set(flagKey(flag), flag);
  return [...byKey.values()];
}

function contextOf({ signal, conditions, pattern, thresholds }: AnalysisFindings): LiveContext {
  return {
    rate_Hz: signal.rate_Hz,
    mode: conditions.mode ?? null,
    rising: pattern?.rising ?? 'rising',
    falling: pattern?.falling ?? 'falling',
    range_deg: conditions.range_deg ?? null,
    torqueLimit_Nm: conditions.torqueLimit_Nm ?? null,
    referenceTorque_Nm: null,
    converterEnds: new Map(),
    measuredRate_Hz: () => null,
    thresholds,
  };
}

/** Short enough for watchers to pass over quiet ones at a glance; how it is cut changes no flag. */
const BLOCK_SAMPLES = 512;

/** Blocks without holes; `index` is the first sample's place on the nominal clock. */
function* blocksOf(signal: Signal, velocity_degps: Float64Array | null): Generator<Block> {
  const { time_s, rate_Hz, torque_Nm, angle_deg } = signal;
  let first = 0;
  let afterGap = false;
  let next = 0;
  for (let i = 1; i <= time_s.length; i += 1) {
    const isHole = i < time_s.length && (time_s[i] - time_s[i - 1]) * rate_Hz > HOLE;
    if (i < time_s.length && !isHole && i - first < BLOCK_SAMPLES) continue;
    const columns = new Map<QuantityName, Float64Array>();
    columns.set('torque_Nm', torque_Nm.subarray(first, i));
    if (angle_deg !== null) columns.set('angle_deg', angle_deg.subarray(first, i));
    if (velocity_degps !== null) columns.set('velocity_degps', velocity_degps.subarray(first, i));
    const start = Math.round((time_s[first] - time_s[0]) * rate_Hz);
    const index = afterGap ? Math.max(start, next + 1) : next;
    yield { rate_Hz, index, n: i - first, afterGap, columns };
    next = index + i - first;
    afterGap = isHole;
    first = i;
  }
}

/** Watchers count from 0 on the nominal clock; the signal's own time starts where it starts. */
function onSignalTime(flag: Flag, { time_s }: Signal): Flag {
  const offset_s = time_s[0] ?? 0;
  return { ...flag, start_s: flag.start_s + offset_s, end_s: flag.end_s + offset_s };
}
