/** A knock against a stop or the motor's braking rises above the muscles' peak: it is kept out of it. */
import type { Flag } from './flag.ts';
import type { PhaseFinding } from './findings.ts';
import type { OfflineFlag } from './index.ts';
import { tenths } from './words.ts';

export const stopImpact: OfflineFlag = {
  kind: 'stopImpact',
  priority: 'low',
  about: 'A stop or braking impact rises above the peak torque; it was kept out of the peak.',
  find: ({ phases, thresholds }) =>
    phases.flatMap((finding) => flagOf(finding, thresholds.stopImpact_pct)),
};

/** Impacts below the peak change nothing that is reported and are not told. */
function flagOf(
  { phase, stopImpact: impact, rawPeakTorque_Nm }: PhaseFinding,
  pct: number,
): Flag[] {
  if (impact === null) return [];
  const peak_Nm = phase.peakTorque_Nm ?? 0;
  const limit_Nm = peak_Nm * (1 + pct / 100);
  const value_Nm = Math.max(Math.abs(impact.torque_Nm), rawPeakTorque_Nm ?? 0);
  if (value_Nm <= limit_Nm) return [];
  return [
    {
      kind: 'stopImpact',
      priority: 'low',
      start_s: impact.time_s,
      end_s: impact.time_s,
      value: value_Nm,
      limit: limit_Nm,
      unit: 'Nm',
      message:
        `Repetition ${String(phase.repetition)}, ${phase.direction}: an impact of ${tenths(value_Nm)} N·m ` +
        `at the ${impact.at} is not muscle torque; the peak is ${tenths(peak_Nm)} N·m.`,
    },
  ];
}
