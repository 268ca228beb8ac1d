/** What a station tells its pages of the preparation: what is in force, and what is being done. */
import type { PolarityRecord, WeighingSummary } from './documents.ts';
import type { CalibrationView } from './calibration-run.ts';
import type { PolarityView } from './polarity.ts';
import type { WeighingView } from './weighing-run.ts';

export interface PreparationState {
  /** The weighing in force for this subject, pattern and side; null: not corrected for gravity. */
  readonly weighed: WeighingSummary | null;
  /** The newest check of this subject, pattern and side; null: not checked. */
  readonly polarity: PolarityRecord | null;
  /** The position of this limb in this session; null when none was kept. */
  readonly position: { readonly isWritten: boolean; readonly nChecks: number } | null;
  /** The run that is open; null when none is. */
  readonly weighing: WeighingView | null;
  readonly checking: PolarityView | null;
  readonly calibration: CalibrationView | null;
}
