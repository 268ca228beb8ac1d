/** Phases of the recordings of a run, as they were last told: for the agreement of the best and the own best. */
import type { Phase } from '../../shared/analysis-types.ts';
import type { JointPattern } from '../../shared/joints/pattern.ts';
import { type Agreement, agreementsOf } from '../../shared/session/agreement.ts';
import type { PlannedSet } from '../../shared/session/plan.ts';
import { isBusy, type RunState } from '../../shared/session/run.ts';
import type { Ledger } from '../../shared/wire/events.ts';

/** Recordings of a long session; the oldest go first. */
const MOST_RECORDINGS = 100;

export interface Peaks {
  /** The newest ledger; null before any. */
  readonly newest: Ledger | null;
  heard(ledger: Ledger): void;
  /** Of the set under way or the newest, with those alike that were run right before it. */
  agreements(state: RunState): readonly Agreement[];
  /** Greatest peak in each way of the torque. */
  best(pattern: JointPattern | undefined): Readonly<Record<'rising' | 'falling', number | null>>;
}

export function createPeaks(): Peaks {
  const phasesOf = new Map<string, readonly Phase[]>();
  let newest: Ledger | null = null;

  return {
    get newest() {
      return newest;
    },
    heard(ledger) {
      newest = ledger;
      phasesOf.delete(ledger.recording);
      phasesOf.set(ledger.recording, ledger.phases);
      const [oldest] = phasesOf.keys();
      if (phasesOf.size > MOST_RECORDINGS && oldest !== undefined) phasesOf.delete(oldest);
    },
    agreements(state) {
      const { plan, outcomes } = state;
      const at = isBusy(state) ? state.set : (outcomes.at(-1)?.set ?? -1);
      const planned = plan?.sets[at];
      if (!plan || !planned || planned.isFamiliarisation || planned.mode === 'passive') return [];
      const alike = trailing(outcomes, (outcome) => isAlike(plan.sets[outcome.set], planned));
      const recordings = [...alike.map(({ recording }) => recording), state.recording];
      const phases = recordings.flatMap((recording) => phasesOf.get(recording) ?? []);
      return agreementsOf(phases, plan.agreeWithin_pct);
    },
    best(pattern) {
      const most = { rising: null as number | null, falling: null as number | null };
      for (const { counts, effort, peakTorque_Nm } of [...phasesOf.values()].flat()) {
        if (!counts || peakTorque_Nm === null) continue;
        const way = effort === 'rising' || effort === pattern?.rising ? 'rising' : 'falling';
        most[way] = Math.max(most[way] ?? 0, peakTorque_Nm);
      }
      return most;
    },
  };
}

function trailing<T>(all: readonly T[], fits: (one: T) => boolean): readonly T[] {
  const last = all.findLastIndex((one) => !fits(one));
  return all.slice(last + 1);
}

function isAlike(a: PlannedSet | undefined, b: PlannedSet): boolean {
  return (
    a?.mode === b.mode &&
    a.speed_degps === b.speed_degps &&
    a.angle_deg === b.angle_deg &&
    a.load_Nm === b.load_Nm
  );
}
