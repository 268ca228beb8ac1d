/**
 * Resting torque was on its way up or down just before an isometric effort: pre-tension, a countermovement,
 * a drifting zero. Onset and rate of torque development then depend on the rule more than on the muscle.
 */
import type { Phase, Signal } from '../analysis-types.ts';
import type { Flag } from './flag.ts';
import type { OfflineFlag } from './index.ts';
import { indexAt } from './samples.ts';
import type { FlagThresholds } from './thresholds.ts';
import { tenths, whole } from './words.ts';

/** The last moments before the onset belong to the effort already, by whatever rule it was found. */
const BEFORE_ONSET_S = 0.05;
/** Means over this long: two to three periods of mains hum. */
const MEAN_S = 0.05;

export const baselineDrift: OfflineFlag = {
  kind: 'baselineDrift',
  priority: 'low',
  about: 'Resting torque was not at rest just before an isometric effort (creep, countermovement).',
  find: ({ signal, phases, thresholds }) =>
    phases.flatMap(({ phase }) => flagOf(phase, signal, thresholds)),
};

function flagOf(phase: Phase, signal: Signal, limits: FlagThresholds): Flag[] {
  if (phase.action !== 'isometric' || phase.onset_s === null) return [];
  const last_s = phase.onset_s - BEFORE_ONSET_S;
  const first_s = last_s - limits.baselineWindow_s;
  const change_Nm =
    meanTorque(signal, last_s - MEAN_S, last_s) - meanTorque(signal, first_s - MEAN_S, first_s);
  if (!(Math.abs(change_Nm) > limits.baselineDrift_Nm)) return [];
  return [
    {
      kind: 'baselineDrift',
      priority: 'low',
      start_s: first_s,
      end_s: last_s,
      value: change_Nm,
      limit: limits.baselineDrift_Nm,
      unit: 'Nm',
      message:
        `Effort ${String(phase.repetition)}: resting torque moved by ${tenths(change_Nm)} N·m in the ` +
        `${whole(1000 * limits.baselineWindow_s)} ms before it (at most ` +
        `${tenths(limits.baselineDrift_Nm)}): onset and rate of torque development are doubtful.`,
    },
  ];
}

/** NaN when there is no sample in the span. */
function meanTorque({ time_s, torque_Nm }: Signal, first_s: number, end_s: number): number {
  const first = indexAt(time_s, first_s);
  const end = indexAt(time_s, end_s);
  let total = 0;
  let n = 0;
  for (let i = first; i < end; i += 1) {
    if (Number.isNaN(torque_Nm[i])) continue;
    total += torque_Nm[i];
    n += 1;
  }
  return total / n;
}
