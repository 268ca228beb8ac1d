/** One set of the library: what the documents of a recording, its results and the decisions on it say. */
import type { RecordingEntry, ResultsReading } from '../station-library.ts';
import type { StartDocument } from '../../shared/record/documents.ts';
import type { Edits } from './edits.ts';

export interface SetRow extends RecordingEntry {
  readonly station: string;
  readonly speed_degps: number | null;
  /** Empty where none was assigned. */
  readonly session: string;
  /** Phases that were found, and those of them that count. */
  readonly phases: number;
  readonly counting: number;
  /** Largest of its efforts; null without results. */
  readonly peakTorque_Nm: number | null;
  /** One for each direction, effort, action and speed. */
  readonly efforts: readonly {
    readonly direction: string;
    readonly effort: string;
    readonly action: string;
    readonly speed_degps: number | null;
    readonly repetitions: number;
    readonly bestPeakTorque_Nm: number | null;
    readonly totalWork_J: number | null;
  }[];
  /** Kinds of flags and how often. */
  readonly flags: Readonly<Record<string, number>>;
  /** How many decisions of people are in it. */
  readonly edits: number;
  readonly recipeHash: string | null;
  /** Why there are no results; empty when there are. */
  readonly problem: string;
}

/** `start` is the assigned one. */
export function setRowOf(
  entry: RecordingEntry,
  start: StartDocument | null,
  edits: Edits,
  reading: ResultsReading,
): SetRow {
  const { subject = '', pattern = '', side = '', mode = '', speed_degps } = start?.conditions ?? {};
  const found = 'results' in reading ? reading.results : null;
  const phases = found?.phases ?? [];
  const efforts = (found?.sets ?? []).map((set) => ({
    direction: set.direction,
    effort: textIn(set, 'effort'),
    action: textIn(set, 'action'),
    speed_degps: numberIn(set, 'speed_degps'),
    repetitions: numberIn(set, 'repetitions') ?? 0,
    bestPeakTorque_Nm: numberIn(set, 'bestPeakTorque_Nm'),
    totalWork_J: numberIn(set, 'totalWork_J'),
  }));
  const peaks = efforts.flatMap(({ bestPeakTorque_Nm: peak }) => (peak === null ? [] : [peak]));
  const hash = found?.recipe['hash'];
  return {
    ...entry,
    ...{ subject, pattern, side, mode },
    station: start?.station ?? '',
    speed_degps: speed_degps ?? null,
    session: edits.assignment?.session ?? '',
    phases: phases.length,
    counting: phases.filter((phase) => phase['counts'] === true).length,
    peakTorque_Nm: peaks.length > 0 ? Math.max(...peaks) : null,
    efforts,
    flags: countsOf((found?.flags ?? []).map(({ kind }) => kind)),
    edits: edits.items.length,
    recipeHash: typeof hash === 'string' ? hash : null,
    problem: 'problem' in reading ? reading.problem : '',
  };
}

function countsOf(kinds: readonly string[]): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const kind of [...kinds].sort()) counts[kind] = (counts[kind] ?? 0) + 1;
  return counts;
}

function numberIn(from: Readonly<Record<string, unknown>>, name: string): number | null {
  const value = from[name];
  return typeof value === 'number' ? value : null;
}

function textIn(from: Readonly<Record<string, unknown>>, name: string): string {
  const value = from[name];
  return typeof value === 'string' ? value : '';
}
