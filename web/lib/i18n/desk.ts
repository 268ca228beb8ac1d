/** Words that only the desk needs: they come with it. */
import type { Words } from './catalogue.ts';
import { recipe } from './en-research-recipe.ts';
import { report } from './en-research-report.ts';
import { inspector, library } from './en-research.ts';

const en = { library, inspector, recipe, report } as const;

export const desk: Words<typeof en> = en;
