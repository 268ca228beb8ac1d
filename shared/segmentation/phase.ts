/** A phase as segmentation hands it on: what measures look at, and how it stands in its set. */
import type { Reason } from '../analysis-types.ts';
import type { Window } from '../measures/window.ts';
import type { Baseline } from './efforts.ts';
import type { Impact } from './impact.ts';

export interface FoundPhase {
  readonly window: Window;
  readonly repetition: number;
  readonly set: number;
  readonly reasons: readonly Reason[];
  /** In samples of the signal. */
  readonly impacts: readonly Impact[];
  /** Isometric: what was taken off; null elsewhere and where weight was removed instead. */
  readonly baseline: Baseline | null;
}
