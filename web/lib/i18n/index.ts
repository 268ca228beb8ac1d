/**
 * The catalogue of every sentence on the pages, typed: a language that lacks one does not compile.
 * No component holds a sentence of its own. Words that only some views need stand in `desk.ts` and
 * `steps.ts` and come with those.
 */
import type { Words } from './catalogue.ts';
import { common, drawing, home } from './en-common.ts';
import {
  alignment,
  calibration,
  polarity,
  position,
  range,
  subject,
  weighing,
} from './en-prepare.ts';
import { lane } from './en-subject.ts';
import { bar, flags, keys, ledger, path, sets, sheet } from './en-tester.ts';

const en = {
  ...common,
  home,
  drawing,
  bar,
  path,
  sets,
  sheet,
  ledger,
  flags,
  keys,
  weighing,
  polarity,
  position,
  alignment,
  calibration,
  subject,
  range,
  lane,
} as const;

export type Catalogue = Words<typeof en>;

export const t: Catalogue = en;
