/** Words that only the desk needs: they come with it. */
import type { Words } from './catalogue.ts';
import { recipe } from './en-research-recipe.ts';
import { inspector, library } from './en-research.ts';

const en = { library, inspector, recipe } as const;

export const desk: Words<typeof en> = en;
