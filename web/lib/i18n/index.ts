/**
 * The catalogue of every sentence on the pages, typed: a language that lacks one does not compile.
 * No component holds a sentence of its own.
 */
import { common, drawing, home } from './en-common.ts';
import { inspector, library } from './en-research.ts';
import { polarity, weighing } from './en-prepare.ts';
import { lane } from './en-subject.ts';
import { bar, check, flags, keys, ledger, path, sets, setup, sheet } from './en-tester.ts';

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
  setup,
  check,
  weighing,
  polarity,
  lane,
  library,
  inspector,
} as const;

type Widened<T> = T extends string
  ? string
  : T extends (...args: infer A) => infer R
    ? (...args: A) => Widened<R>
    : { readonly [K in keyof T]: Widened<T[K]> };

export type Catalogue = Widened<typeof en>;

export const t: Catalogue = en;
