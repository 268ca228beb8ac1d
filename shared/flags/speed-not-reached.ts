/** The limb never came to the speed that was set: the machine did not load it at that speed. */
import type { Flag } from './flag.ts';
import type { PhaseFinding } from './findings.ts';
import type { OfflineFlag } from './index.ts';
import { tenths } from './words.ts';

export const speedNotReached: OfflineFlag = {
  kind: 'speedNotReached',
  priority: 'low',
  about: 'The limb never came within the tolerance of the speed that was set.',
  find: ({ phases, thresholds }) =>
    phases.flatMap((finding) => flagOf(finding, thresholds.speedTolerance_pct)),
};

function flagOf({ phase, targetSpeed_degps }: PhaseFinding, tolerance_pct: number): Flag[] {
  const reached_degps = phase.peakVelocity_degps;
  if (targetSpeed_degps === null || reached_degps === null) return [];
  const needed_degps = targetSpeed_degps * (1 - tolerance_pct / 100);
  if (Math.abs(reached_degps) >= needed_degps) return [];
  return [
    {
      kind: 'speedNotReached',
      priority: 'low',
      start_s: phase.start_s,
      end_s: phase.end_s,
      value: Math.abs(reached_degps),
      limit: needed_degps,
      unit: 'deg/s',
      message:
        `Repetition ${String(phase.repetition)}, ${phase.direction}: ${tenths(Math.abs(reached_degps))}°/s ` +
        `at most, ${tenths(targetSpeed_degps)}°/s was set.`,
    },
  ];
}
