/** Words that only the desk needs: they come with it. */
import type { Words } from './catalogue.ts';
import { inspector, library } from './en-research.ts';

const en = { library, inspector } as const;

export const desk: Words<typeof en> = en;
