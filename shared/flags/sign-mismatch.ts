/**
 * Signs that do not fit together: torque against the movement in every repetition, or a weight that pulls
 * the other way than it does in this pattern. One column may be turned, or left and right exchanged.
 */
import { weightAt } from '../gravity/remove.ts';
import type { AnalysisFindings } from './findings.ts';
import type { Flag } from './flag.ts';
import type { OfflineFlag } from './index.ts';
import { counted, tenths } from './words.ts';

/** A pull below this is in the noise of a torque sensor. */
const VISIBLE_NM = 1;
/** Fewer phases prove nothing about a sign. */
const FEWEST_PHASES = 2;

export const signMismatch: OfflineFlag = {
  kind: 'signMismatch',
  priority: 'medium',
  about: 'Torque is against the movement throughout, or the weight pulls the wrong way.',
  find: (findings) => [...againstMovement(findings), ...weightTurned(findings)],
};

/** Reciprocal movement that is eccentric both ways: rare on purpose, common with a turned sign. */
function againstMovement({ phases, conditions }: AnalysisFindings): Flag[] {
  const moving = phases
    .map(({ phase }) => phase)
    .filter(({ action }) => action === 'concentric' || action === 'eccentric');
  const isReciprocal = new Set(moving.map((phase) => phase.direction)).size === 2;
  if (!isReciprocal || moving.length < FEWEST_PHASES || conditions.torque === 'unsigned') return [];
  if (moving.some((phase) => phase.action === 'concentric')) return [];
  return [
    {
      kind: 'signMismatch',
      priority: 'medium',
      start_s: moving[0].start_s,
      end_s: moving[moving.length - 1].end_s,
      value: moving.length,
      limit: 0,
      unit: 'phases',
      message:
        `Torque is against the movement in all of ${counted(moving.length, 'phase')}: an eccentric set ` +
        'both ways, or the sign of torque or angle is turned.',
    },
  ];
}

function weightTurned({ signal, pattern, weighing, conditions }: AnalysisFindings): Flag[] {
  if (pattern === undefined || pattern.usualHorizontalAt_deg === null) return [];
  const isWeighed = weighing?.identifiable === true;
  const gravity = isWeighed
    ? ({
        kind: 'sinusoid',
        amplitude_Nm: weighing.amplitude_Nm ?? 0,
        horizontalAt_deg: weighing.horizontalAt_deg ?? 0,
        offset_Nm: 0,
      } as const)
    : conditions.gravity;
  if (gravity?.kind !== 'sinusoid') return [];
  const pull_Nm = weightAt({ ...gravity, offset_Nm: 0 }, pattern.usualHorizontalAt_deg);
  const expected = pattern.weightPullsToward === 'rising' ? 1 : -1;
  if (expected * pull_Nm > -VISIBLE_NM) return [];
  const toward = pull_Nm > 0 ? pattern.rising : pattern.falling;
  return [
    {
      kind: 'signMismatch',
      priority: 'medium',
      start_s: signal.time_s[0] ?? 0,
      end_s: signal.time_s.at(-1) ?? 0,
      value: pull_Nm,
      limit: 0,
      unit: 'Nm',
      message:
        `The weight pulls ${tenths(Math.abs(pull_Nm))} N·m toward ${toward} with the limb horizontal; in ` +
        'the usual position it pulls the other way. Is a sign turned, or the position another?',
    },
  ];
}
