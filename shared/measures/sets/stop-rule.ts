/** How long a set lasted by a rule of power: for isotonic work to fatigue. */
import { numbersOf, type SetMeasure } from './set-measure.ts';

/** This many repetitions in a row below the rule end the set: one may be a slip. */
const IN_A_ROW = 2;

export const repetitionsToStop = {
  id: 'repetitionsToStop',
  name: 'Repetitions to the stop rule',
  unit: '',
  formula:
    'repetitions before two in a row stay below the share of the best peak power; all when none do',
  source: 'common practice, no source; 50 % from the recipe',
  check: 'set-examples',
  of(phases, { measures }) {
    const powers = numbersOf(phases, 'peakPower_W');
    if (powers === null) return null;
    const least = (measures.stopRule_pct / 100) * Math.max(...powers);
    const isOver = (i: number) =>
      powers.slice(i, i + IN_A_ROW).length === IN_A_ROW &&
      powers.slice(i, i + IN_A_ROW).every((power) => power < least);
    const stop = powers.findIndex((_, i) => isOver(i));
    return stop < 0 ? powers.length : stop;
  },
} as const satisfies SetMeasure<string>;
