/**
 * Torque on the machine near or above its limit, or far above anything this subject has done before
 * (a slipped strap, a stop, a knock). Torque as read: weight and spikes load the machine too.
 */
import type { Flag } from './flag.ts';
import type { LiveContext, LiveFlag } from './index.ts';
import { type Crossing, type Rung, watchLadder } from './ladder.ts';
import { tenths, whole } from './words.ts';

export const overload: LiveFlag = {
  kind: 'overload',
  priority: 'high',
  about: 'Torque is near or above its limit, or far above the subject’s own largest so far.',
  create(context) {
    const rungs = rungsOf(context);
    const release = ((rungs[0]?.upper ?? 0) * context.thresholds.overloadHysteresis_pct) / 100;
    return watchLadder('torque_Nm', rungs, release, context.rate_Hz);
  },
};

function rungsOf({ torqueLimit_Nm, referenceTorque_Nm, thresholds }: LiveContext): readonly Rung[] {
  const { overloadNear_pct, overloadRelative_pct } = thresholds;
  const rungs: Rung[] = [];
  if (torqueLimit_Nm !== null) {
    const near_Nm = (torqueLimit_Nm * overloadNear_pct) / 100;
    const share = `${whole(overloadNear_pct)} % of the limit of ${tenths(torqueLimit_Nm)} N·m`;
    rungs.push(
      rung(near_Nm, 'medium', (torque) => `Torque ${torque} is above ${share}.`),
      rung(
        torqueLimit_Nm,
        'high',
        (torque) => `Torque ${torque} is above the limit of ${tenths(torqueLimit_Nm)} N·m.`,
      ),
    );
  }
  if (referenceTorque_Nm !== null) {
    const unusual_Nm = (referenceTorque_Nm * overloadRelative_pct) / 100;
    const most = `the largest so far, ${tenths(referenceTorque_Nm)} N·m`;
    // Above the absolute levels it would only hide them.
    if (unusual_Nm < (rungs[0]?.upper ?? Number.POSITIVE_INFINITY)) {
      rungs.unshift(
        rung(unusual_Nm, 'medium', (torque) => `Torque ${torque} is far above ${most}.`),
      );
    }
  }
  return rungs;
}

function rung(
  limit_Nm: number,
  priority: Flag['priority'],
  words: (torque: string) => string,
): Rung {
  return {
    upper: limit_Nm,
    lower: -limit_Nm,
    make: ({ value, limit, start_s, end_s }: Crossing) => ({
      kind: 'overload',
      priority,
      start_s,
      end_s,
      value,
      limit,
      unit: 'Nm',
      message: words(`${tenths(Math.abs(value))} N·m`),
    }),
  };
}
