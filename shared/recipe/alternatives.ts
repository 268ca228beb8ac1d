/**
 * Other choices that are published or usual: a number is shown with its span over them, so that nobody
 * takes the third digit for granted. One at a time is changed against the recipe in use.
 */
import type { Mode } from '../analysis-types.ts';
import type { RecipeChanges } from './recipe.ts';

export interface Alternative {
  /** In words, for tables. */
  readonly name: string;
  readonly modes: readonly Mode[];
  readonly changes: RecipeChanges;
  readonly source: string;
}

const MOVING = ['isokinetic', 'isotonic', 'passive'] as const;
const WHITE = 'White et al. 2024 (Sensors 24:4250): compared cut-offs 10-200 Hz, onsets 0.1-5 Nm';
const USUAL = 'common practice, no source';

export const ALTERNATIVES = [
  {
    name: 'torque at 10 Hz',
    modes: ['isokinetic', 'isotonic', 'isometric'],
    changes: { conditioning: { torqueLowpass_Hz: 10 } },
    source: WHITE,
  },
  {
    name: 'torque at 50 Hz',
    modes: ['isokinetic', 'isotonic', 'isometric'],
    changes: { conditioning: { torqueLowpass_Hz: 50 } },
    source: WHITE,
  },
  {
    name: 'angle at 6 Hz',
    modes: ['isokinetic', 'isotonic'],
    changes: { conditioning: { angleLowpass_Hz: 6 } },
    source: USUAL,
  },
  {
    name: 'angle at 15 Hz',
    modes: ['isokinetic', 'isotonic'],
    changes: { conditioning: { angleLowpass_Hz: 15 } },
    source: USUAL,
  },
  {
    name: 'cut-off not corrected for two passes',
    modes: MOVING,
    changes: { conditioning: { dualPass: 'uncorrected' } },
    source: 'Robertson & Dowling 2003 describe the usual omission',
  },
  {
    name: 'constant speed within 5 %',
    modes: ['isokinetic', 'passive'],
    changes: { loadRange: { tolerance_pct: 5 } },
    source: USUAL,
  },
  {
    name: 'onset 5 Nm above the baseline',
    modes: ['isometric'],
    changes: { onset: { rule: 'absolute', absolute_Nm: 5 } },
    source: WHITE,
  },
  {
    name: 'onset at 2.5 % of the peak',
    modes: ['isometric'],
    changes: { onset: { rule: 'percent', percent_pct: 2.5 } },
    source: USUAL,
  },
  {
    name: 'rate of torque development at 150 Hz',
    modes: ['isometric'],
    changes: { onset: { lowpass_Hz: 150 } },
    source: 'White et al. 2024: their reference setting',
  },
] as const satisfies readonly Alternative[];
