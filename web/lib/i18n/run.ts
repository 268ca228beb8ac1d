/** Words of running the sets. */
import type { Words } from './catalogue.ts';
import { run as en } from './en-run.ts';

export const run: Words<typeof en> = en;
