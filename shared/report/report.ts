/**
 * What stands on the page: four questions, and for each effort a dot with its interval, left, right and
 * last time on one axis. It measures differences and names what limits them; it judges nobody.
 */
import type { Side } from '../analysis-types.ts';
import { limbSymmetryIndex_pct } from '../measures/symmetry.ts';
import type { EffortBest, OwnError, RecordingFacts, ReportFacts } from './facts.ts';
import type { MeanCurve, PartEffort, ReportPart } from './part.ts';

export interface Dot {
  readonly side: Side;
  readonly when: 'now' | 'before';
  readonly value: number;
  /** Null where there is nothing that gives one. */
  readonly interval: readonly [number, number] | null;
}

export interface QuestionRow {
  readonly effort: EffortName;
  /** End of the axis, which begins at 0 or, for a change, at its negative. */
  readonly most: number;
  readonly dots: readonly Dot[];
}

export interface EffortName {
  readonly direction: string;
  readonly effort: string;
  readonly action: string;
  readonly speed_degps: number | null;
}

export interface AlikeRow {
  readonly effort: EffortName;
  /** Left as percent of right, and the widest it is over the repetitions that count. */
  readonly value_pct: number;
  readonly interval_pct: readonly [number, number] | null;
}

export interface ChangedRow extends QuestionRow {
  /** Smallest change beyond measurement error of this site, with the pairs it comes from. */
  readonly error: OwnError | null;
}

export interface SureRow extends QuestionRow {
  readonly variation_pct: Readonly<Partial<Record<Side, number>>>;
}

export interface CurvePlot {
  readonly effort: EffortName;
  readonly curves: readonly {
    readonly side: Side;
    readonly n: number;
    readonly curve: MeanCurve;
  }[];
}

export interface Report {
  readonly strong: readonly QuestionRow[];
  readonly alike: readonly AlikeRow[];
  readonly changed: readonly ChangedRow[];
  readonly sure: readonly SureRow[];
  /** Of the slowest speed that there is, one for each direction. */
  readonly curves: readonly CurvePlot[];
  /** Day of the newest earlier test that is compared with; empty without one. */
  readonly since: string;
}

interface Found extends PartEffort {
  readonly side: Side;
  readonly before: EffortBest | null;
}

const SIDES = ['right', 'left'] as const;

/** Recordings without a side are shown as right: the page says which side was stated. */
export function buildReport(facts: ReportFacts, parts: readonly ReportPart[]): Report {
  const found = parts.flatMap((part) => foundIn(part, facts.recordings));
  const groups = grouped(found);
  const earlier = facts.recordings.flatMap(({ before }) => (before ? [before.startedAt] : []));
  return {
    strong: groups.map((group) => strongRow(group)),
    alike: groups.flatMap((group) => alikeRow(group)),
    changed: groups.flatMap((group) => changedRow(group, facts)),
    sure: groups.map((group) => sureRow(group)),
    curves: curvesOf(groups),
    since: earlier.sort().at(-1) ?? '',
  };
}

function foundIn(part: ReportPart, recordings: readonly RecordingFacts[]): Found[] {
  const facts = recordings.find(({ id }) => id === part.recording);
  const side = facts?.side === 'left' ? 'left' : 'right';
  return part.efforts
    .filter(({ best_Nm }) => best_Nm !== null)
    .map((effort) => {
      const before = facts?.before?.efforts.find((one) => isSameEffort(one, effort)) ?? null;
      return { ...effort, side, before };
    });
}

export function isSameEffort(a: EffortName, b: EffortName): boolean {
  const isSame = a.direction === b.direction && a.effort === b.effort && a.action === b.action;
  return isSame && Math.round(a.speed_degps ?? 0) === Math.round(b.speed_degps ?? 0);
}

/** One for each effort, action and speed: directions in the order found, slow before fast. */
function grouped(found: readonly Found[]): Found[][] {
  const groups: Found[][] = [];
  for (const one of found) {
    const group = groups.find(([first]) => isSameEffort(first, one));
    if (group) group.push(one);
    else groups.push([one]);
  }
  const directions = [...new Set(found.map(({ direction }) => direction))];
  const place = ([{ direction, speed_degps }]: readonly Found[]) =>
    directions.indexOf(direction) * 1e6 + (speed_degps ?? 0);
  return groups.sort((a, b) => place(a) - place(b));
}

function nameOf([{ direction, effort, action, speed_degps }]: readonly Found[]): EffortName {
  return { direction, effort, action, speed_degps };
}

/** The stronger recording of a side, where a session holds the same test twice. */
function bestOf(group: readonly Found[], side: Side): Found | null {
  const own = group.filter((one) => one.side === side);
  return own.reduce<Found | null>(
    (best, one) => ((one.best_Nm ?? 0) > (best?.best_Nm ?? -1) ? one : best),
    null,
  );
}

function strongRow(group: readonly Found[]): QuestionRow {
  const dots = SIDES.flatMap((side): Dot[] => {
    const one = bestOf(group, side);
    if (one?.best_Nm == null) return [];
    const before = one.before?.bestPeakTorque_Nm ?? null;
    return [
      { side, when: 'now', value: one.best_Nm, interval: extremes(one.peaks_Nm) },
      ...(before === null
        ? []
        : [{ side, when: 'before', value: before, interval: null } as const]),
    ];
  });
  return { effort: nameOf(group), most: axisEnd(dots), dots };
}

function alikeRow(group: readonly Found[]): AlikeRow[] {
  const [right, left] = [bestOf(group, 'right'), bestOf(group, 'left')];
  if (right?.best_Nm == null || left?.best_Nm == null) return [];
  const value_pct = limbSymmetryIndex_pct(left.best_Nm, right.best_Nm);
  if (value_pct === null) return [];
  const [l, r] = [extremes(left.peaks_Nm), extremes(right.peaks_Nm)];
  const low = l && r ? limbSymmetryIndex_pct(l[0], r[1]) : null;
  const high = l && r ? limbSymmetryIndex_pct(l[1], r[0]) : null;
  const interval_pct = low === null || high === null ? null : ([low, high] as const);
  return [{ effort: nameOf(group), value_pct, interval_pct }];
}

function changedRow(group: readonly Found[], { errors, recordings }: ReportFacts): ChangedRow[] {
  const effort = nameOf(group);
  const pattern = recordings[0]?.pattern ?? '';
  const error = errors.find((one) => one.pattern === pattern && isSameEffort(one, effort)) ?? null;
  const dots = SIDES.flatMap((side): Dot[] => {
    const one = bestOf(group, side);
    const before = one?.before?.bestPeakTorque_Nm ?? null;
    if (one?.best_Nm == null || before === null) return [];
    const value = one.best_Nm - before;
    const half = error?.mdc95_Nm ?? null;
    const interval = half === null ? null : ([value - half, value + half] as const);
    return [{ side, when: 'now', value, interval }];
  });
  return dots.length === 0 ? [] : [{ effort, most: axisEnd(dots), dots, error }];
}

function sureRow(group: readonly Found[]): SureRow {
  const variation_pct: Partial<Record<Side, number>> = {};
  const dots = SIDES.flatMap((side): Dot[] => {
    const one = bestOf(group, side);
    if (one?.best_Nm == null) return [];
    if (one.variation_pct !== null) variation_pct[side] = one.variation_pct;
    return [{ side, when: 'now', value: one.best_Nm, interval: one.overRecipes_Nm }];
  });
  return { effort: nameOf(group), most: axisEnd(dots), dots, variation_pct };
}

function curvesOf(groups: readonly Found[][]): CurvePlot[] {
  const slowest = new Map<string, Found[]>();
  for (const group of groups) {
    const { direction, effort } = nameOf(group);
    const key = `${direction} ${effort}`;
    if (!slowest.has(key) && group.some(({ curve }) => curve !== null)) slowest.set(key, group);
  }
  return [...slowest.values()].map((group) => ({
    effort: nameOf(group),
    curves: SIDES.flatMap((side) => {
      const one = bestOf(group, side);
      return one?.curve ? [{ side, n: one.peaks_Nm.length, curve: one.curve }] : [];
    }),
  }));
}

function extremes(values: readonly number[]): readonly [number, number] | null {
  return values.length < 2 ? null : [Math.min(...values), Math.max(...values)];
}

/** A round number that everything drawn stays below. */
function axisEnd(dots: readonly Dot[]): number {
  const all = dots.flatMap(({ value, interval }) => [value, ...(interval ?? [])]).map(Math.abs);
  return roundAbove(Math.max(1, ...all));
}

export function roundAbove(value: number): number {
  const scale = 10 ** Math.floor(Math.log10(value));
  const step = [1, 1.5, 2, 3, 4, 5, 6, 8, 10].find((one) => one * scale >= value * 1.04) ?? 12;
  return step * scale;
}
