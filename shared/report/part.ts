/** The numbers of one recording that a report shows, by the analysis that made the stored ones. */
import { analyze } from '../analysis.ts';
import type { Action, Phase } from '../analysis-types.ts';
import { withCertainty } from '../certainty.ts';
import { overlay } from '../measures/overlay.ts';
import { setsOf } from '../measures/sets/set-rows.ts';
import { type ConditionedCurves, conditionedCurves } from '../segmentation/whole.ts';
import type { AnalysisInput } from '../wire/signal-codec.ts';

/** Points of a curve: more than its width on paper shows. */
const CURVE_POINTS = 61;

export interface MeanCurve {
  readonly angle_deg: readonly number[];
  readonly mean_Nm: readonly number[];
  /** NaN where there is only one repetition. */
  readonly sd_Nm: readonly number[];
}

export interface PartEffort {
  readonly direction: string;
  readonly effort: string;
  readonly action: Action;
  readonly speed_degps: number | null;
  /** Largest of the repetitions that count; null when none does. */
  readonly best_Nm: number | null;
  /** Peaks of those repetitions, in order. */
  readonly peaks_Nm: readonly number[];
  /** Repetitions that were found, whether they count or not. */
  readonly nFound: number;
  readonly variation_pct: number | null;
  /** Least and largest best peak over the stated recipes; null when none counts. */
  readonly overRecipes_Nm: readonly [number, number] | null;
  readonly curve: MeanCurve | null;
}

export interface ReportPart {
  readonly recording: string;
  readonly rate_Hz: number;
  readonly recipeName: string;
  readonly recipeHash: string;
  readonly torqueLowpass_Hz: number | null;
  readonly loadRangeTolerance_pct: number;
  readonly gravity: string;
  /** Names of the recipes beside the one in use. */
  readonly alternatives: readonly string[];
  readonly efforts: readonly PartEffort[];
  readonly excluded: readonly {
    readonly repetition: number;
    readonly direction: string;
    readonly reasons: readonly string[];
  }[];
  readonly flags: readonly string[];
}

export function reportPart(input: AnalysisInput): ReportPart {
  const { signal, conditions, recipe, recording } = input;
  const plain = analyze(signal, conditions, recipe, recording);
  const document = withCertainty(plain, signal, conditions, recipe);
  const curves = conditionedCurves(signal, conditions, recipe);
  const { phases } = document;
  const efforts = setsOf(phases, recipe).map(({ row, phases: counting }): PartEffort => {
    const { direction, effort, action, speed_degps, coefficientOfVariation_pct } = row;
    return {
      ...{ direction, effort, action, speed_degps, best_Nm: row.bestPeakTorque_Nm },
      peaks_Nm: counting.flatMap(({ peakTorque_Nm: peak }) => (peak === null ? [] : [peak])),
      nFound: phases.filter((one) => one.direction === direction && one.effort === effort).length,
      variation_pct: coefficientOfVariation_pct,
      overRecipes_Nm: overRecipes(counting),
      curve: meanCurve(counting, signal.time_s, curves),
    };
  });
  return {
    recording,
    rate_Hz: signal.rate_Hz,
    recipeName: recipe.name,
    recipeHash: String(document.recipe['hash']),
    torqueLowpass_Hz: recipe.conditioning.torqueLowpass_Hz,
    loadRangeTolerance_pct: recipe.loadRange.tolerance_pct,
    gravity: document.gravity.kind,
    alternatives: document.alternatives,
    efforts,
    excluded: phases
      .filter(({ counts }) => !counts)
      .map(({ repetition, direction, reasons }) => ({ repetition, direction, reasons })),
    flags: document.flags
      .filter(({ priority }) => priority !== 'low')
      .map(({ message }) => message),
  };
}

/** Of the best peak: each recipe has its own best repetition. */
function overRecipes(counting: readonly Phase[]): readonly [number, number] | null {
  const spans = counting.flatMap((phase) => spanOf(phase['spans']));
  if (spans.length === 0) return null;
  return [Math.max(...spans.map(([low]) => low)), Math.max(...spans.map(([, high]) => high))];
}

function spanOf(spans: unknown): [number, number][] {
  const span: unknown =
    typeof spans === 'object' && spans !== null ? Reflect.get(spans, 'peakTorque_Nm') : null;
  const ends: readonly unknown[] = Array.isArray(span) ? span : [];
  const [low, high] = ends;
  return typeof low === 'number' && typeof high === 'number' ? [[low, high]] : [];
}

/** Over the mean travel of the repetitions; null without angle. Torque in the direction of the effort. */
function meanCurve(
  counting: readonly Phase[],
  time_s: Float64Array,
  { torque_Nm, angle_deg }: ConditionedCurves,
): MeanCurve | null {
  if (angle_deg === null) return null;
  const pieces = counting.map(({ start_s, end_s, peakTorqueTime_s }) => {
    const first = indexOf(time_s, start_s);
    const end = indexOf(time_s, end_s) + 1;
    const sign = torque_Nm[indexOf(time_s, peakTorqueTime_s ?? start_s)] < 0 ? -1 : 1;
    const torque = torque_Nm.subarray(first, end).map((value) => sign * value);
    return { angle_deg: angle_deg.subarray(first, end), torque_Nm: torque };
  });
  const laid = overlay(pieces, CURVE_POINTS);
  if (laid === null) return null;
  const mean = (values: readonly number[]) => values.reduce((a, b) => a + b, 0) / values.length;
  const from = mean(pieces.map((piece) => piece.angle_deg[0]));
  const to = mean(pieces.map((piece) => piece.angle_deg[piece.angle_deg.length - 1]));
  return {
    angle_deg: Array.from(laid.range_pct, (pct) => from + (pct / 100) * (to - from)),
    mean_Nm: Array.from(laid.mean_Nm),
    sd_Nm: Array.from(laid.sd_Nm),
  };
}

/** First sample at or after a time; the last one when none is. */
function indexOf(time_s: Float64Array, wanted_s: number): number {
  let [low, high] = [0, time_s.length - 1];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (time_s[middle] < wanted_s) low = middle + 1;
    else high = middle;
  }
  return low;
}
