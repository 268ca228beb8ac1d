/** Words of running the sets, and of who may come in. */
import type { Words } from './catalogue.ts';
import { access as accessEn, run as runEn } from './en-run.ts';

export const run: Words<typeof runEn> = runEn;
export const access: Words<typeof accessEn> = accessEn;
