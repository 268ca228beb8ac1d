/** Torque keeps one sign while the limb moves to and fro: the table may hold magnitudes only. */
import type { AnalysisFindings } from './findings.ts';
import type { Flag } from './flag.ts';
import type { OfflineFlag } from './index.ts';
import { indexAt } from './samples.ts';
import { tenths } from './words.ts';

/** Torque of the other sign up to this share of the largest is noise, drift or weight. From memory. */
const SIGN_SHARE = 0.05;

export const torqueUnsigned: OfflineFlag = {
  kind: 'torqueUnsigned',
  priority: 'medium',
  about: 'Torque never changes sign although the limb moves both ways.',
  find(findings) {
    if (findings.conditions.torque !== undefined) return [];
    return flagOf(findings);
  },
};

/** Only over reciprocal movement that is not passive: a relaxed limb keeps one sign by its weight. */
function flagOf({ signal, phases }: AnalysisFindings): Flag[] {
  const moving = phases
    .map(({ phase }) => phase)
    .filter(({ action }) => action === 'concentric' || action === 'eccentric');
  if (new Set(moving.map((phase) => phase.direction)).size < 2) return [];
  let least = 0;
  let most = 0;
  for (const phase of moving) {
    const end = indexAt(signal.time_s, phase.end_s);
    for (let i = indexAt(signal.time_s, phase.start_s); i < end; i += 1) {
      if (signal.torque_Nm[i] < least) least = signal.torque_Nm[i];
      if (signal.torque_Nm[i] > most) most = signal.torque_Nm[i];
    }
  }
  const largest_Nm = Math.max(most, -least);
  const other_Nm = Math.min(most, -least);
  if (largest_Nm === 0 || other_Nm > SIGN_SHARE * largest_Nm) return [];
  return [
    {
      kind: 'torqueUnsigned',
      priority: 'medium',
      start_s: moving[0].start_s,
      end_s: moving[moving.length - 1].end_s,
      value: other_Nm,
      limit: SIGN_SHARE * largest_Nm,
      unit: 'Nm',
      message:
        `Torque keeps one sign (${tenths(largest_Nm)} N·m one way, ${tenths(other_Nm)} the other) while ` +
        'the limb moves both ways. If the table holds magnitudes, say so: --torque unsigned.',
    },
  ];
}
