/** Too little of the movement was at constant velocity: its numbers are mostly speeding up and braking. */
import type { Flag } from './flag.ts';
import type { PhaseFinding } from './findings.ts';
import type { OfflineFlag } from './index.ts';
import { tenths, whole } from './words.ts';

export const loadRangeShort: OfflineFlag = {
  kind: 'loadRangeShort',
  priority: 'low',
  about: 'The part at constant velocity is a small share of the movement.',
  find: ({ phases, thresholds }) =>
    phases.flatMap((finding) => flagOf(finding, thresholds.loadRangeShare_pct)),
};

/** Passive and isometric phases have no load range to be short of. */
function flagOf({ phase, targetSpeed_degps }: PhaseFinding, least_pct: number): Flag[] {
  const { rangeOfMotion_deg: range_deg, loadRange, action } = phase;
  if (targetSpeed_degps === null || range_deg === null || range_deg <= 0) return [];
  if (action !== 'concentric' && action !== 'eccentric') return [];
  const loaded_deg = loadRange?.range_deg ?? 0;
  const share_pct = (100 * loaded_deg) / range_deg;
  if (share_pct >= least_pct) return [];
  return [
    {
      kind: 'loadRangeShort',
      priority: 'low',
      start_s: phase.start_s,
      end_s: phase.end_s,
      value: share_pct,
      limit: least_pct,
      unit: '%',
      message:
        `Repetition ${String(phase.repetition)}, ${phase.direction}: ${tenths(loaded_deg)}° of ` +
        `${tenths(range_deg)}° (${whole(share_pct)} %) were at constant velocity.`,
    },
  ];
}
