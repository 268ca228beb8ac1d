/**
 * The ledger's rows from the phases the daemon sends: one row a repetition, one column group a
 * direction. Says what counts and which is best; computes no measure.
 */
import type { Action, Mode, Phase, Reason } from '../../shared/analysis-types.ts';
import type { JointPattern } from '../../shared/joints/pattern.ts';

/** In the order in which the first wins where two are equally frequent. */
const ACTIONS: readonly Action[] = ['concentric', 'isometric', 'eccentric', 'passive'];

export type Way = 'falling' | 'rising';
export type RowState = 'counts' | 'best' | 'excluded' | 'underway' | 'cutoff' | 'tocome';

export interface LedgerRow {
  readonly repetition: number;
  readonly state: RowState;
  /** Directions whose peak is the highest of those that count. */
  readonly best: readonly Way[];
  readonly reasons: readonly Reason[];
  readonly phases: Readonly<Record<Way, Phase | null>>;
}

export interface LedgerInput {
  readonly phases: readonly Phase[];
  readonly mode: Mode;
  readonly nExpected: number;
  /** `set` while it is recorded, `cut` while data are missing, `done` after it. */
  readonly stage: 'set' | 'cut' | 'done';
}

export function wayOf(phase: Phase, pattern: JointPattern | undefined): Way {
  return phase.direction === 'rising' || phase.direction === pattern?.rising ? 'rising' : 'falling';
}

/** True when the muscles push toward rising angle: the sign of the phase's torque. */
export function isEffortRising(phase: Phase, pattern: JointPattern | undefined): boolean {
  return phase.effort === 'rising' || phase.effort === pattern?.rising;
}

export function ledgerRows(input: LedgerInput, pattern: JointPattern | undefined): LedgerRow[] {
  const rows = new Map<number, Record<Way, Phase | null>>();
  for (const phase of input.phases) {
    const row = rows.get(phase.repetition) ?? { falling: null, rising: null };
    row[wayOf(phase, pattern)] = phase;
    rows.set(phase.repetition, row);
  }
  const best = bestOf(input.phases, pattern);
  const last = Math.max(0, ...rows.keys());
  const judged = [...rows].sort(([a], [b]) => a - b);
  const filled = judged.map(([repetition, phases]): LedgerRow => {
    const present = [phases.falling, phases.rising].filter((phase) => phase !== null);
    const reasons = [...new Set(present.flatMap((phase) => phase.reasons))];
    const isOpen = input.stage !== 'done' && repetition === last && isHalf(phases, input.mode);
    const bestWays = (['falling', 'rising'] as const).filter(
      (way) => phases[way] !== null && phases[way] === best[way],
    );
    const state = stateOf({ present, isOpen, hasBest: bestWays.length > 0, stage: input.stage });
    return { repetition, state, best: bestWays, reasons, phases };
  });
  return [...filled, ...toCome(filled, input)];
}

function isHalf(phases: Record<Way, Phase | null>, mode: Mode): boolean {
  return mode !== 'isometric' && (phases.falling === null || phases.rising === null);
}

function stateOf(row: {
  readonly present: readonly Phase[];
  readonly isOpen: boolean;
  readonly hasBest: boolean;
  readonly stage: LedgerInput['stage'];
}): RowState {
  if (row.present.some((phase) => !phase.counts)) return 'excluded';
  if (row.isOpen) return row.stage === 'cut' ? 'cutoff' : 'underway';
  return row.hasBest ? 'best' : 'counts';
}

/**
 * The phases of one direction that are compared with each other: those that count, of the action
 * that most of them have. A limb that was only carried along is not a weak effort.
 */
export function comparable(
  phases: readonly Phase[],
  way: Way,
  pattern: JointPattern | undefined,
): readonly Phase[] {
  const counting = phases.filter((phase) => phase.counts && wayOf(phase, pattern) === way);
  const times = (action: Action) => counting.filter((phase) => phase.action === action).length;
  const [main] = ACTIONS.toSorted((a, b) => times(b) - times(a));
  return counting.filter((phase) => phase.action === main);
}

function bestOf(phases: readonly Phase[], pattern: JointPattern | undefined) {
  const best: Record<Way, Phase | null> = { falling: null, rising: null };
  const compared = [
    ...comparable(phases, 'falling', pattern),
    ...comparable(phases, 'rising', pattern),
  ];
  for (const phase of compared) {
    const way = wayOf(phase, pattern);
    if (phase.peakTorque_Nm === null) continue;
    if (phase.peakTorque_Nm > (best[way]?.peakTorque_Nm ?? 0)) best[way] = phase;
  }
  return compared.length > 2 ? best : { falling: null, rising: null };
}

/** Rows still expected while a set runs; none after it: what was not done is not to come. */
function toCome(filled: readonly LedgerRow[], input: LedgerInput): LedgerRow[] {
  if (input.stage === 'done') return [];
  const done = filled.at(-1)?.repetition ?? 0;
  const n = Math.max(0, input.nExpected - done);
  return Array.from({ length: n }, (_, k) => ({
    repetition: done + 1 + k,
    state: 'tocome',
    best: [],
    reasons: [],
    phases: { falling: null, rising: null },
  }));
}

export interface PeakSummary {
  readonly n: number;
  readonly mean_Nm: number | null;
  /** Coefficient of variation with n - 1, in percent; null under 3. */
  readonly variation_pct: number | null;
}

/** Mean and variation of the peaks that count in one direction. */
export function peakSummary(
  phases: readonly Phase[],
  way: Way,
  pattern: JointPattern | undefined,
): PeakSummary {
  const peaks = comparable(phases, way, pattern).flatMap((phase) =>
    phase.peakTorque_Nm === null ? [] : [phase.peakTorque_Nm],
  );
  const n = peaks.length;
  if (n === 0) return { n, mean_Nm: null, variation_pct: null };
  const mean_Nm = peaks.reduce((sum, peak) => sum + peak, 0) / n;
  if (n < 3 || mean_Nm === 0) return { n, mean_Nm, variation_pct: null };
  const squares = peaks.reduce((sum, peak) => sum + (peak - mean_Nm) ** 2, 0);
  return { n, mean_Nm, variation_pct: (100 * Math.sqrt(squares / (n - 1))) / mean_Nm };
}
