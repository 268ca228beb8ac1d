/** The weighing in a few words, for the path and the bar. */
import type { PreparationState } from '../../../shared/preparation/state.ts';
import { magnitude } from '../format.ts';
import { t } from '../i18n/index.ts';

/** Beside the step of the path. */
export function weighingWords(preparation: PreparationState | undefined): string {
  const { weighing: run, weighed } = preparation ?? { weighing: null, weighed: null };
  if (run) return t.weighing.pathOpen(Math.min(run.sweeps.length + 1, run.nWanted), run.nWanted);
  if (!weighed) return t.weighing.pathNone;
  if (weighed.use === 'machine') return t.weighing.pathMachine;
  return t.weighing.pathDone(...removed(weighed));
}

export function calibrationWords(preparation: PreparationState | undefined): string {
  const run = preparation?.calibration;
  return run ? t.calibration.done(run.readings.length, run.loads.length) : t.calibration.pathIdle;
}

export function positionWords(preparation: PreparationState | undefined): string {
  return preparation?.position?.isWritten ? t.position.pathDone : t.position.pathNone;
}

export function alignmentWords(preparation: PreparationState | undefined): string {
  return t.alignment.pathOf(preparation?.position?.nChecks ?? 0);
}

/** In the bar: what every number of the session says of gravity. */
export function gravityWords(preparation: PreparationState | undefined): string {
  const weighed = preparation?.weighed;
  if (!weighed) return t.weighing.barNone;
  if (weighed.use === 'machine') return t.weighing.barMachine;
  return t.weighing.barDone(...removed(weighed));
}

function removed({
  atReference_Nm,
  reference_deg,
}: NonNullable<PreparationState['weighed']>): [string, string] {
  return [t.torqueOf(magnitude(atReference_Nm, 1)), `${magnitude(reference_deg)}°`];
}
