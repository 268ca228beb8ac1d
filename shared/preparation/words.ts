/** Why something of the preparation cannot be done yet, in words for the API and the pages alike. */
import { APART_LIMIT_NM, RESIDUAL_LIMIT_NM, type WeighingView } from './weighing-run.ts';

/** Empty when nothing stands in the way. */
export function blockedWords({ blocked, fit, holdProblem }: WeighingView): string {
  switch (blocked) {
    case null:
      return '';
    case 'nothing':
      return 'No sweep was accepted yet.';
    case 'oneWay':
      return 'Sweep the other way too: one way alone keeps its friction.';
    case 'residual':
      return (
        `The readings scatter by ${(fit?.rmsResidual_Nm ?? 0).toFixed(1)} N·m about the fit; at most ` +
        `${RESIDUAL_LIMIT_NM.toFixed(1)}. Is the limb relaxed, does something touch it?`
      );
    case 'apart':
      return (
        `Up and down differ by ${Math.abs(fit?.apart_Nm ?? 0).toFixed(1)} N·m; at most ` +
        `${APART_LIMIT_NM.toFixed(1)}. Does the limb rub, or help in one direction?`
      );
    case 'hold':
      return holdProblem === '' ? 'No hold was read yet.' : holdProblem;
  }
}
