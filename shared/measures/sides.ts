/** Two documents side by side: what both measured in the same way, compared by every named formula. */
import type { AnalysisDocument, RatioTerm, SetRow } from '../analysis-types.ts';
import {
  differenceOfMean_pct,
  differenceOfStronger_pct,
  differenceOfSum_pct,
  limbSymmetryIndex_pct,
  logRatio,
  symmetryAngle_pct,
} from './symmetry.ts';

export interface SideComparison extends RatioTerm {
  readonly measure: 'bestPeakTorque_Nm' | 'meanPeakTorque_Nm' | 'totalWork_J';
  readonly value: number;
  readonly reference: number;
  /** 100 value / reference: the second document is the reference, and must be named as such. */
  readonly limbSymmetryIndex_pct: number | null;
  readonly differenceOfStronger_pct: number | null;
  readonly differenceOfMean_pct: number | null;
  readonly differenceOfSum_pct: number | null;
  readonly symmetryAngle_pct: number | null;
  readonly logRatio: number | null;
}

const MEASURES = ['bestPeakTorque_Nm', 'meanPeakTorque_Nm', 'totalWork_J'] as const;

/** A row for each effort, action and speed that both have; total work only for equal repetitions. */
export function compareSides(
  document: AnalysisDocument,
  reference: AnalysisDocument,
): readonly SideComparison[] {
  return document.sets.flatMap((row) => {
    const other = reference.sets.find((one) => isAlike(one, row));
    if (other === undefined) return [];
    return MEASURES.flatMap((measure) => {
      const [value, against] = [row[measure], other[measure]];
      if (value === null || against === null) return [];
      if (measure === 'totalWork_J' && row.repetitions !== other.repetitions) return [];
      return [compared(row, measure, value, against)];
    });
  });
}

function isAlike(a: SetRow, b: SetRow): boolean {
  return (
    a.effort === b.effort &&
    a.action === b.action &&
    a.direction === b.direction &&
    a.speed_degps === b.speed_degps
  );
}

function compared(
  { effort, action, speed_degps }: SetRow,
  measure: SideComparison['measure'],
  value: number,
  reference: number,
): SideComparison {
  return {
    effort,
    action,
    speed_degps,
    measure,
    value,
    reference,
    limbSymmetryIndex_pct: limbSymmetryIndex_pct(value, reference),
    differenceOfStronger_pct: differenceOfStronger_pct(value, reference),
    differenceOfMean_pct: differenceOfMean_pct(value, reference),
    differenceOfSum_pct: differenceOfSum_pct(value, reference),
    symmetryAngle_pct: symmetryAngle_pct(value, reference),
    logRatio: logRatio(value, reference),
  };
}
